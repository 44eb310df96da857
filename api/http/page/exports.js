// Downloads: markers for editors and players at a rate and start timecode, script and sheet.
import { fill, h, say } from "./dom.js";
import { call } from "./service.js";

const RATES = ["23.976", "24", "25", "29.97", "29.97df", "30", "50", "59.94", "59.94df", "60"];
const MARKERS = [
  ["edl", "EDL", "markers for most editors"],
  ["otio", "OpenTimelineIO", "for editors that read .otio"],
  ["csv", "Table", "every marker with its times"],
  ["webvtt", "WebVTT chapters", "for a web player"],
  ["webvtt-metadata", "WebVTT metadata", "everything, for programs"],
  ["srt", "SubRip", "markers shown as subtitles"],
  ["chapters", "Chapters", "to write into the clip"],
  ["matroska", "Matroska chapters", "for MKV files"],
];
const SHEETS = [
  ["script.md", "Script", "to print or edit (Markdown)"],
  ["script.vtt", "Script as captions", "for a prompter, planned clock"],
  ["script.last-take.vtt", "Script over this take", "captions on this clip's clock"],
  ["sheet.csv", "Sheet", "planned and delivered, one row a period"],
];

export function drawExports(place, state) {
  const told = h("p", { role: "status", hidden: true });
  const rate = h("select", { id: "rate" }, h("option", { value: "" }, "the clip's own"), RATES.map((r) => h("option", { value: r }, r.replace("df", " drop-frame"))));
  const start = h("input", { id: "start", placeholder: "00:00:00:00", size: 12, autocomplete: "off" });
  const button = (name, words, path) =>
    h("button", { type: "button", "data-file": name, onclick: () => save(path(), told) }, h("span", {}, words[0]), h("small", {}, words[1]));
  const asked = () => {
    const query = new URLSearchParams();
    if (rate.value) query.set("rate", rate.value);
    if (start.value.trim()) query.set("start", start.value.trim());
    return query.size ? `?${query}` : "";
  };
  fill(place,
    h("div.row", {},
      h("label", { for: "rate" }, h("span", {}, "Frames a second of your timeline"), rate),
      h("label", { for: "start" }, h("span", {}, "Timecode of the first picture"), start)),
    told,
    h("h3", {}, "Markers"),
    h("div.downloads", {}, MARKERS.map(([name, ...words]) => button(name, words, () => `${state.at}/exports/${name}${asked()}`))),
    h("h3", {}, "Script and sheet"),
    h("div.downloads", {}, SHEETS.map(([name, ...words]) => button(name, words, () => `${state.at}/downloads/${name}`)),
      button("review.json", ["review.json", "everything found, for other programs"], () => `${state.at}/review.json`)));
}

async function save(path, told) {
  try {
    const answer = await call(path);
    const named = /filename\*=(?:UTF-8|utf-8)''([^;]+)/.exec(answer.headers.get("content-disposition") ?? "");
    const plain = /filename="([^"]+)"/.exec(answer.headers.get("content-disposition") ?? "");
    const name = named ? decodeURIComponent(named[1]) : (plain?.[1] ?? path.split("/").pop());
    const url = URL.createObjectURL(await answer.blob());
    const link = h("a", { href: url, download: name });
    document.body.append(link);
    link.click();
    link.remove();
    setTimeout(() => URL.revokeObjectURL(url), 10000);
    const warning = answer.headers.get("takeproof-warning");
    say(told, warning ? `${name} saved. ${decodeURIComponent(warning)}` : `${name} saved.`, Boolean(warning));
  } catch (error) {
    say(told, error.message, true);
  }
}
