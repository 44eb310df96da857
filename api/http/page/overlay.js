// Skeleton and outline of the back over the picture; fetched a minute at a time.
import { get } from "./service.js";

const MINUTE = 60;

export function overlay(canvas, video, state, wanted) {
  const minutes = new Map();
  const pen = canvas.getContext("2d");
  let raf = null;

  function show() {
    cancelAnimationFrame(raf);
    draw();
    const { skeleton, back } = wanted();
    if (skeleton || back) raf = requestAnimationFrame(show);
  }

  async function load(minute) {
    minutes.set(minute, null);
    try {
      const start = minute * MINUTE;
      minutes.set(minute, await get(`${state.at}/overlay?start_s=${start}&end_s=${start + MINUTE}`));
    } catch {
      minutes.delete(minute);
    }
  }

  function draw() {
    const [width, height] = [canvas.clientWidth, canvas.clientHeight];
    const sharp = devicePixelRatio || 1;
    if (canvas.width !== Math.round(width * sharp) || canvas.height !== Math.round(height * sharp)) {
      canvas.width = Math.round(width * sharp);
      canvas.height = Math.round(height * sharp);
    }
    pen.setTransform(sharp, 0, 0, sharp, 0, 0);
    pen.clearRect(0, 0, width, height);
    const { skeleton, back } = wanted();
    if (!skeleton && !back) return;
    const now = video.currentTime;
    const minute = Math.floor(now / MINUTE);
    for (const m of [minute, minute + 1]) {
      if (!minutes.has(m) && m * MINUTE < state.review.clip.duration_s) load(m);
    }
    const laid = minutes.get(minute);
    if (!laid) return;
    const i = nearest(laid.times_s, now);
    if (i === null || Math.abs(laid.times_s[i] - now) > 0.5) return;
    const place = placer(video, width, height, laid.units);
    if (skeleton && laid.positions[i]) drawBones(laid, laid.positions[i], place);
    if (back && laid.back[i]) drawLine(laid.back[i], place);
  }

  function drawBones({ bones }, xy, place) {
    const lines = new Path2D();
    for (const [a, b] of bones) {
      lines.moveTo(...place(xy[2 * a], xy[2 * a + 1]));
      lines.lineTo(...place(xy[2 * b], xy[2 * b + 1]));
    }
    stroke(lines, 2.5, "#56b4e9");
    pen.fillStyle = "#fff";
    for (let k = 0; k < xy.length; k += 2) {
      pen.beginPath();
      pen.arc(...place(xy[k], xy[k + 1]), 2.5, 0, 7);
      pen.fill();
    }
  }

  function drawLine(xy, place) {
    const line = new Path2D();
    for (let k = 0; k < xy.length; k += 2) line[k ? "lineTo" : "moveTo"](...place(xy[k], xy[k + 1]));
    stroke(line, 4, "#f0e442");
  }

  // A dark edge, so that the line shows on any clothes.
  function stroke(path, width, colour) {
    pen.lineCap = pen.lineJoin = "round";
    for (const [w, c] of [[width + 2.5, "rgb(0 0 0 / 0.65)"], [width, colour]]) {
      pen.lineWidth = w;
      pen.strokeStyle = c;
      pen.stroke(path);
    }
  }

  return { show };
}

// From the picture's own units to the element, which may have black bars at its sides.
export function placer(video, width, height, units) {
  const ratio = video.videoWidth / video.videoHeight || 16 / 9;
  const w = Math.min(width, height * ratio);
  const hgt = w / ratio;
  const [x0, y0] = [(width - w) / 2, (height - hgt) / 2];
  return (x, y) => [x0 + (x / units) * w, y0 + (y / units) * hgt];
}

function nearest(times, now) {
  if (!times.length) return null;
  let [low, high] = [0, times.length - 1];
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (times[middle] <= now) low = middle;
    else high = middle;
  }
  return now - times[low] <= times[high] - now ? low : high;
}
