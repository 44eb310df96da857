// Two takes of one plan side by side: per block which is closer to the plan, and why.
import { $, fill, h, say } from "./dom.js";
import { get } from "./service.js";
import { clock } from "./words.js";

const asked = new URLSearchParams(location.search);
const ids = [asked.get("first"), asked.get("second")];
const NAMES = ["Take 1", "Take 2"];
const WORDS = { first: "Take 1 is closer", second: "Take 2 is closer", equal: "Alike" };

try {
  const both = await get(`/api/takes?${asked}`);
  $("title").textContent = `${both.title}: two takes`;
  const videos = ids.map((id, i) => h("video", { src: `/api/reviews/${id}/preview`, controls: true, playsinline: true, muted: i > 0, preload: "metadata", "aria-label": NAMES[i] }));
  const names = [both.first_name, both.second_name];
  const lengths = [both.first_s, both.second_s];
  fill($("takes"),
    h("div.takes", {}, ids.map((id, i) => h("section", {},
      h("h2", {}, `${NAMES[i]}: `, h("a", { href: `/reviews/${id}` }, names[i])),
      videos[i],
      h("p.small.soft", {}, `${clock(lengths[i])} of ${clock(both.planned_s)} planned`)))),
    h("table.rounds", {},
      h("thead", {}, h("tr", {}, ["Planned", ...NAMES].map((name) => h("th", { scope: "col" }, name)))),
      h("tbody", {}, both.blocks.map((block) => [
        h("tr.block", {}, h("th", { scope: "rowgroup", colspan: 3 },
          `${block.block}: `, h(`span.sign${block.better === "equal" ? ".as-planned" : ".look"}`, { "aria-hidden": "true" }, block.better === "equal" ? "=" : "★"),
          `${WORDS[block.better]}, ${block.why}`)),
        block.periods.map((p) => h("tr.fine", {},
          h("th", { scope: "row" }, go(p, videos)), h("td", {}, p.first), h("td", {}, p.second))),
      ]))));
} catch (error) {
  say($("told"), error.message, true);
}

function go(period, videos) {
  const starts = [period.first_start_s, period.second_start_s];
  return h("button.plain", { type: "button", onclick: () => {
    videos.forEach((video, i) => {
      if (starts[i] === null) return video.pause();
      video.currentTime = starts[i];
      return video.play().catch(() => {});
    });
    videos[0].scrollIntoView({ block: "nearest" });
  } }, period.label);
}
