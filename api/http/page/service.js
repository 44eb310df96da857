// Requests to /api. Every failure becomes an Error with the one line to show.

export async function get(path) {
  return (await call(path)).json();
}

export async function send(method, path, body) {
  const options = { method };
  if (body !== undefined) {
    options.body = JSON.stringify(body);
    options.headers = { "Content-Type": "application/json" };
  }
  const answer = await call(path, options);
  return answer.status === 204 ? null : answer.json();
}

export async function call(path, options) {
  let answer;
  try {
    answer = await fetch(path, options);
  } catch {
    throw new Error("takeproof does not answer; is takeproof serve still running?");
  }
  if (answer.ok) return answer;
  if (answer.status === 401) location.assign("/login");
  throw new Error(await line(answer));
}

// XMLHttpRequest, because fetch does not report how much has been sent.
export function upload(form, onProgress, signal) {
  return new Promise((resolve, reject) => {
    const request = new XMLHttpRequest();
    request.open("POST", "/api/reviews");
    request.responseType = "json";
    request.upload.onprogress = (event) => event.lengthComputable && onProgress(event.loaded / event.total);
    request.onload = () =>
      request.status === 202
        ? resolve(request.response)
        : reject(new Error(request.response?.detail ?? `the upload was refused (${request.status})`));
    request.onerror = () => reject(new Error("the upload broke off; send it again"));
    request.onabort = () => reject(new Error("the upload was stopped"));
    signal?.addEventListener("abort", () => request.abort());
    request.send(form);
  });
}

// Calls back with every new status of a review, until it ends. Returns a function that stops it.
export function follow(id, onStatus) {
  let stopped = false;
  const stream = new EventSource(`/api/reviews/${id}/events`);
  const passOn = (status) => {
    if (stopped) return;
    if (["done", "failed"].includes(status.state)) stop();
    onStatus(status);
  };
  const stop = () => {
    stopped = true;
    stream.close();
  };
  stream.onmessage = (event) => passOn(JSON.parse(event.data));
  stream.addEventListener("gone", stop);
  stream.onerror = () => {
    // A proxy may block streams: poll instead.
    if (stopped || stream.readyState !== EventSource.CLOSED) return;
    const poll = async () => {
      if (stopped) return;
      try {
        passOn(await get(`/api/reviews/${id}`));
      } catch (error) {
        if (error.message.includes("no review")) return;
      }
      setTimeout(poll, 1500);
    };
    poll();
  };
  return stop;
}

async function line(answer) {
  try {
    return (await answer.json()).detail;
  } catch {
    return `something went wrong (${answer.status})`;
  }
}
