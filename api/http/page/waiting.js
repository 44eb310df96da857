// A review that is not done yet: how far it is, and what can be done about it.
import { h, refill } from "./dom.js";
import { send } from "./service.js";
import { working } from "./words.js";

export function drawWaiting(place, standing, again) {
  const act = (words, door) =>
    h("button", { type: "button", "data-key": door, onclick: async () => {
      await send("POST", `/api/reviews/${standing.id}/${door}`);
      again();
    } }, words);
  const { state } = standing;
  if (state === "failed") {
    refill(place, h("p.wrong", { role: "alert" }, standing.error), act("Start again", "retry"));
    return;
  }
  refill(
    place,
    h("p", { role: "status" }, state === "queued" ? "Waiting for its turn." : working(standing)),
    h("progress", { max: 1, value: standing.progress, "aria-label": "Progress of the review" }),
    h("p.soft.small", {}, "You may close this page; the work goes on. Once the pictures have been looked at, every correction takes about a second."),
    act("Stop", "cancel"),
  );
}
