// Several people in the picture: everybody outlined, and the review made again for another one.
import { ask, fill, h, say } from "./dom.js";
import { placer } from "./overlay.js";
import { get, send } from "./service.js";
import { many } from "./words.js";

export async function peoplePart(place, state, screen) {
  const { people } = await get(`${state.at}/people`);
  if (people.length < 2) return;
  const [picture, video] = [place.querySelector(".picture"), place.querySelector("video")];
  const boxes = h("div.people", { hidden: true });
  const told = h("p", { role: "alert", hidden: true });
  const toggle = h("button", { type: "button", id: "someone-else", "aria-expanded": "false", onclick: () => (boxes.hidden ? open() : close()) },
    `${many(people.length, "person", "people")} in the picture: review somebody else`);
  picture.append(boxes);
  place.append(h("div.row.middle", {}, toggle), told);

  function open() {
    screen.pause();
    // The picture in which most people were seen, of those nearest to now.
    const now = video.currentTime;
    const times = [...new Set(people.flatMap((p) => p.sightings.map((s) => s.time_s)))];
    const seen = (time) => people.filter((p) => p.sightings.some((s) => s.time_s === time)).length;
    const best = times.sort((a, b) => seen(b) - seen(a) || Math.abs(a - now) - Math.abs(b - now))[0];
    screen.seek(best);
    boxes.hidden = false;
    toggle.setAttribute("aria-expanded", "true");
    draw(best);
  }

  function close() {
    boxes.hidden = true;
    toggle.setAttribute("aria-expanded", "false");
  }

  function draw(time) {
    const at = placer(video, picture.clientWidth, picture.clientHeight, 1);
    fill(boxes, people.map((person, number) => {
      const sighting = person.sightings.find((s) => s.time_s === time);
      if (!sighting) return null;
      const [left, top, right, bottom] = sighting.box;
      const [[x, y], [x2, y2]] = [at(left, top), at(right, bottom)];
      const style = { left: `${x}px`, top: `${y}px`, width: `${x2 - x}px`, height: `${y2 - y}px` };
      const side = (left + right) / 2 < 0.4 ? "left" : (left + right) / 2 > 0.6 ? "right" : "middle";
      if (person.followed) return h("span.box.followed", { style }, h("span", {}, "this review"));
      const words = `Review person ${number + 1}, ${side} of the picture`;
      return h("button.box", { style, type: "button", "aria-label": words, onclick: () => choose(sighting) },
        h("span", {}, String(number + 1)));
    }));
  }

  async function choose({ box: [left, top, right, bottom], time_s }) {
    const corrected = state.review.edits.length
      ? " Your corrections were about the other person: they are left out, and kept in a file beside the review."
      : "";
    if (!(await ask(`Review this clip again for the other person?${corrected}`, "Review again"))) return;
    const middle = (a, b) => Math.min(1, Math.max(0, (a + b) / 2));
    try {
      await send("POST", `${state.at}/person`, { x: middle(left, right), y: middle(top, bottom), time_s });
      location.reload();
    } catch (error) {
      say(told, error.message, true);
    }
  }

  addEventListener("resize", close);
  video.addEventListener("play", close);
}
