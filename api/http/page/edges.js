// Boundaries of the delivered periods that can be dragged; the picture follows.
import { h } from "./dom.js";
import { exact } from "./words.js";

const MIN_PX = 24;
const MIN_S = 0.5; // no period may be shorter

export function dragEdges(review, px, screen, edit) {
  const { periods } = review;
  const times = [...periods.map((p) => p.start_s), ...periods.slice(-1).map((p) => p.end_s)];
  return times.map((time, i) => {
    const low = i ? periods[i - 1].start_s : 0;
    const high = i < periods.length ? periods[i].end_s : review.clip.duration_s;
    const narrow = Math.min(time - low || Infinity, high - time || Infinity) * px;
    if (narrow < MIN_PX) return null; // it would cover the periods; zoom in first
    const wide = Math.min(24, narrow / 3);
    const edge = h("div.edge", { "aria-hidden": "true", "data-edge": i, title: "Drag to correct", style: { left: `${time * px}px`, width: `${wide}px`, marginLeft: `${-wide / 2}px` } });
    edge.addEventListener("pointerdown", (event) => grab(event, edge, time, i, [low, high]));
    return edge;
  });

  function grab(event, edge, time, i, [low, high]) {
    if (event.button) return;
    event.preventDefault();
    edge.setPointerCapture(event.pointerId);
    edge.classList.add("held");
    const told = h("output");
    edge.append(told);
    const from = event.clientX;
    let to = time;
    const move = (e) => {
      to = Math.min(high - (i < periods.length ? MIN_S : 0), Math.max(low + (i ? MIN_S : 0), time + (e.clientX - from) / px));
      edge.style.left = `${to * px}px`;
      told.textContent = exact(to);
      screen.seek(to);
    };
    const drop = (e) => {
      for (const [name, listener] of listeners) edge.removeEventListener(name, listener);
      edge.classList.remove("held");
      told.remove();
      const moved = e.type === "pointerup" && Math.abs(e.clientX - from) > 2;
      if (moved) edit({ do: "move", at_s: time, to_s: Math.round(to * 100) / 100 });
      else edge.style.left = `${time * px}px`;
    };
    const listeners = [["pointermove", move], ["pointerup", drop], ["pointercancel", drop]];
    for (const [name, listener] of listeners) edge.addEventListener(name, listener);
  }
}
