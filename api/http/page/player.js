// The clip: playing, looping a stretch, with skeleton and back outline over it on demand.
import { fill, h } from "./dom.js";
import { overlay } from "./overlay.js";
import { clock } from "./words.js";

const calm = matchMedia("(prefers-reduced-motion: reduce)");

export function player(place, state) {
  const listeners = [];
  const start = Number(new URLSearchParams(location.search).get("t")) || 0;
  let looped = null;

  const video = h("video", { src: `${state.at}/preview`, controls: true, playsinline: true, preload: "metadata", id: "video", "aria-label": `The clip ${state.review.clip.name}` });
  const canvas = h("canvas", { "aria-hidden": "true" });
  const loopWords = h("span");
  const looping = h("span.looping", { hidden: true, role: "status" }, loopWords,
    h("button.plain", { type: "button", onclick: () => unloop() }, "Stop the loop"));
  const broken = h("p.wrong", { hidden: true, role: "alert" },
    "This browser cannot play the clip's format. Everything else works; export the clip as MP4 (H.264) to see it here.");
  const skeleton = h("input", { type: "checkbox", id: "skeleton", onchange: () => laid.show() });
  const back = h("input", { type: "checkbox", id: "back", onchange: () => laid.show() });
  const speed = h("select", { id: "speed", onchange: () => (video.playbackRate = Number(speed.value)) },
    [["1", "normal"], ["0.5", "half"], ["0.25", "quarter"]].map(([value, words]) => h("option", { value }, words)));

  fill(place,
    h("div.picture", {}, video, canvas),
    broken,
    h("div.row.middle", {},
      h("label", {}, skeleton, " Skeleton"),
      h("label", {}, back, " Outline of the back"),
      h("span.row.middle", {}, h("label.small", { for: "speed" }, "Speed"), speed),
      looping));

  const laid = overlay(canvas, video, state, () => ({ skeleton: skeleton.checked, back: back.checked }));

  video.addEventListener("error", () => (broken.hidden = false));
  video.addEventListener("loadedmetadata", () => start && (video.currentTime = start));
  video.addEventListener("seeked", tick);
  video.addEventListener("seeking", () => {
    // The user went elsewhere: the loop ends.
    if (looped && (video.currentTime < looped[0] - 0.5 || video.currentTime > looped[1] + 0.5)) unloop();
  });
  video.addEventListener("play", frame);

  function frame() {
    tick();
    if (!video.paused && !video.ended) requestAnimationFrame(frame);
  }

  function tick() {
    if (looped && video.currentTime >= looped[1] && !video.paused) video.currentTime = looped[0];
    for (const listener of listeners) listener(video.currentTime);
  }

  function seek(time) {
    if (looped && (time < looped[0] || time > looped[1])) unloop();
    video.currentTime = Math.max(0, Math.min(time, state.review.clip.duration_s - 0.05));
  }

  function loop(from, to) {
    looped = [from, Math.max(to, from + 0.4)];
    loopWords.textContent = `Looping ${clock(from)} to ${clock(to)}`;
    looping.hidden = false;
    video.currentTime = from;
    video.play().catch(() => {}); // a browser may want a click first; the place is right anyway
    place.scrollIntoView({ block: "nearest", behavior: calm.matches ? "auto" : "smooth" });
  }

  function unloop() {
    looped = null;
    looping.hidden = true;
  }

  return {
    seek,
    loop,
    unloop,
    looping: () => looped !== null,
    time: () => video.currentTime,
    playing: () => !video.paused,
    pause: () => video.pause(),
    play: () => video.play().catch(() => {}),
    toggle: () => (video.paused ? video.play().catch(() => {}) : video.pause()),
    onTime: (listener) => listeners.push(listener),
  };
}
