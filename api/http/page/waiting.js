// A review that is not done yet: its progress, and how to stop or restart it.
import { h, refill } from "./dom.js";
import { send } from "./service.js";
import { working } from "./words.js";

export function drawWaiting(place, status, again) {
  const act = (words, route) =>
    h("button", { type: "button", "data-key": route, onclick: async () => {
      await send("POST", `/api/reviews/${status.id}/${route}`);
      again();
    } }, words);
  const { state } = status;
  if (state === "failed") {
    refill(place, h("p.wrong", { role: "alert" }, status.error), act("Start again", "retry"));
    return;
  }
  refill(
    place,
    h("p", { role: "status" }, state === "queued" ? "Waiting for its turn." : working(status)),
    h("progress", { max: 1, value: status.progress, "aria-label": "Progress of the review" }),
    h("p.soft.small", {}, "You may close this page; the work goes on. Once the pictures have been looked at, every correction takes about a second."),
    act("Stop", "cancel"),
  );
}
