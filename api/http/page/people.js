// Several people in the picture: everybody outlined, and the review made again for another one.
import { ask, fill, h, say } from "./dom.js";
import { placer } from "./overlay.js";
import { get, send } from "./service.js";
import { clock, many } from "./words.js";

// The middle may lie in somebody else's box: points nearest to it are tried in this grid.
const TRIED = 20;

export async function peoplePart(place, state, screen) {
  const { people } = await get(`${state.at}/people`);
  if (people.length < 2) return;
  const [picture, video] = [place.querySelector(".picture"), place.querySelector("video")];
  const boxes = h("div.people", { hidden: true });
  const told = h("p", { role: "alert", hidden: true });
  const toggle = h("button", { type: "button", id: "someone-else", "aria-expanded": "false", onclick: () => (boxes.hidden ? open() : close()) },
    `${many(people.length, "person", "people")} in the picture: review somebody else`);
  const elsewhere = h("div.row.middle", { hidden: true });
  picture.append(boxes);
  place.append(h("div.row.middle", {}, toggle), elsewhere, told);

  function open() {
    screen.pause();
    // The nearest picture in which there is somebody else to choose.
    show(nearest(people.filter((p) => !p.followed).flatMap((p) => p.sightings), video.currentTime).time_s);
  }

  function show(time) {
    screen.seek(time);
    boxes.hidden = elsewhere.hidden = false;
    toggle.setAttribute("aria-expanded", "true");
    draw(time);
    // Nobody is out of reach: those who are not in this picture are a button away.
    fill(elsewhere, people.map((person, number) => {
      if (person.followed || person.sightings.some((s) => s.time_s === time)) return null;
      const { time_s } = nearest(person.sightings, time);
      return h("button", { type: "button", onclick: () => (show(time_s), boxes.querySelector(`[data-number="${number}"]`).focus()) },
        `Show person ${number + 1}, seen at ${clock(time_s)}`);
    }));
  }

  function close() {
    boxes.hidden = elsewhere.hidden = true;
    toggle.setAttribute("aria-expanded", "false");
  }

  function draw(time) {
    const at = placer(video, picture.clientWidth, picture.clientHeight, 1);
    const here = people
      .map((person, number) => ({ person, number, sighting: person.sightings.find((s) => s.time_s === time) }))
      .filter(({ sighting }) => sighting)
      // The smallest last, above the others: whoever stands in front of somebody larger can be clicked.
      .sort((a, b) => area(b.sighting.box) - area(a.sighting.box));
    fill(boxes, here.map(({ person, number, sighting }) => {
      const [left, top, right, bottom] = sighting.box;
      const [[x, y], [x2, y2]] = [at(left, top), at(right, bottom)];
      const style = { left: `${x}px`, top: `${y}px`, width: `${x2 - x}px`, height: `${y2 - y}px` };
      const side = (left + right) / 2 < 0.4 ? "left" : (left + right) / 2 > 0.6 ? "right" : "middle";
      if (person.followed) return h("span.box.followed", { style }, h("span", {}, "this review"));
      const words = `Review person ${number + 1}, ${side} of the picture`;
      const others = here.filter((o) => o.number !== number).map((o) => o.sighting.box);
      return h("button.box", { style, type: "button", "aria-label": words, "data-number": number, onclick: () => choose(sighting, others) },
        h("span", {}, String(number + 1)));
    }));
  }

  async function choose({ box, time_s }, others) {
    const point = pointOf(box, others);
    if (!point) {
      say(told, "Others hide this person here: choose another moment of the clip.", true);
      return;
    }
    const [x, y] = point;
    const corrected = state.review.edits.length
      ? " Your corrections were about the other person: they are left out, and kept in a file beside the review."
      : "";
    if (!(await ask(`Review this clip again for the other person?${corrected}`, "Review again"))) return;
    try {
      await send("POST", `${state.at}/person`, { x, y, time_s });
      location.reload();
    } catch (error) {
      say(told, error.message, true);
    }
  }

  addEventListener("resize", close);
  video.addEventListener("play", close);
}

function nearest(sightings, time) {
  return sightings.reduce((a, b) => (Math.abs(b.time_s - time) < Math.abs(a.time_s - time) ? b : a));
}

function area([left, top, right, bottom]) {
  return (right - left) * (bottom - top);
}

// A point that is meant for this box: near its middle and in no smaller one; undefined if there is none.
function pointOf(box, others) {
  const within = (v) => Math.min(1, Math.max(0, v));
  const [left, top, right, bottom] = box.map(within);
  const smaller = others.filter((other) => area(other) <= area(box));
  const steps = [...Array(TRIED + 1).keys()].map((k) => (k + 0.5) / (TRIED + 1));
  steps.sort((a, b) => Math.abs(a - 0.5) - Math.abs(b - 0.5));
  const points = steps.flatMap((v) => steps.map((u) => [u, v]));
  points.sort(([a, b], [c, d]) => Math.hypot(a - 0.5, b - 0.5) - Math.hypot(c - 0.5, d - 0.5));
  const placed = points.map(([u, v]) => [left + u * (right - left), top + v * (bottom - top)]);
  const free = ([x, y]) => !smaller.some(([l, t, r, b]) => l <= x && x <= r && t <= y && y <= b);
  return placed.find(free);
}
