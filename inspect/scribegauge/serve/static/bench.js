"use strict";
// Upload progress, waiting, and fields that are needed only sometimes. Every page works without it.

function showOwnTolerance() {
  const choice = document.getElementById("tolerance");
  if (!choice) return;
  const fields = document.querySelector("[data-when=own]");
  const show = () => { fields.hidden = choice.value !== "own"; };
  choice.addEventListener("change", show);
  show();
}

function sendWithProgress() {
  const form = document.getElementById("plate-form");
  if (!form) return;
  const photo = document.getElementById("photo");
  const button = document.getElementById("send");
  const box = document.getElementById("sending");
  const bar = document.getElementById("sent");
  const said = document.getElementById("said");

  const fail = (words) => {
    said.textContent = words;
    said.className = "verdict refused";
    button.disabled = false;
    button.textContent = "Try again";
  };

  form.addEventListener("submit", (event) => {
    event.preventDefault();
    box.hidden = false;
    said.className = "";
    said.textContent = "";
    const file = photo.files[0];
    if (file && file.size > Number(form.dataset.most)) {
      fail("The photo is too large to be sent: at most 40 MB.");
      return;
    }
    button.disabled = true;
    const request = new XMLHttpRequest();
    request.open("POST", form.action);
    request.responseType = "document";
    request.upload.addEventListener("progress", (step) => {
      if (step.lengthComputable) bar.value = (100 * step.loaded) / step.total;
    });
    request.upload.addEventListener("load", () => { bar.value = 100; said.textContent = "Sent. Reading…"; });
    request.addEventListener("error", () => fail("The network broke off. The photo was not sent."));
    request.addEventListener("load", () => {
      const answer = request.response;
      if (request.status < 400 && request.responseURL !== form.action) {
        location.assign(request.responseURL);
        return;
      }
      // A form is good once: the answer cannot give another, so the page is loaded again to retry.
      const alert = answer && answer.querySelector("[role=alert]");
      fail(alert ? alert.textContent.trim().replace(/\s+/g, " ") : "The photo was not taken.");
      refreshToken(form);
    });
    request.send(new FormData(form));
  });
}

async function refreshToken(form) {
  const answer = await fetch(location.href, { credentials: "same-origin" });
  const page = new DOMParser().parseFromString(await answer.text(), "text/html");
  const fresh = page.querySelector(`#${form.id} input[name=token]`);
  if (fresh) form.elements.token.value = fresh.value;
}

function waitForReading() {
  const box = document.getElementById("waiting");
  if (!box) return;
  const words = box.querySelector("p");
  const look = async () => {
    try {
      const answer = await fetch(box.dataset.state, { credentials: "same-origin" });
      if (!answer.ok) { location.reload(); return; }
      const state = await answer.json();
      if (state.done) { location.reload(); return; }
      words.textContent = state.before > 0
        ? `${state.before} photo${state.before > 1 ? "s" : ""} before yours, about ${state.seconds} s.`
        : `Your photo is being read, about ${state.seconds} s.`;
    } catch { words.textContent = "The network is away; looking again…"; }
    setTimeout(look, 700);
  };
  setTimeout(look, 500);
}

showOwnTolerance();
sendWithProgress();
waitForReading();
