"use strict";
// Ends of sides and pricks dragged on the enlarged plate; the numbers go into the form's own fields.

const SPACE = "http://www.w3.org/2000/svg";
const board = document.getElementById("board");
const sheet = document.getElementById("sheet");
const drawing = document.getElementById("marks");
const choice = document.getElementById("mark");
const said = document.getElementById("mend-said");
const undoButton = document.getElementById("undo");
const width = drawing.viewBox.baseVal.width;
const height = drawing.viewBox.baseVal.height;
const past = [];
const marks = new Map();
let chosenEnd = 0;
let zoom = 1;

for (const field of document.querySelectorAll("#by-number input")) {
  const numbers = field.placeholder.trim().split(/\s+/).map(Number);
  const places = [];
  for (let k = 0; k < numbers.length; k += 2) places.push([numbers[k], numbers[k + 1]]);
  marks.set(field.name, { field, places, moved: false });
}

function element(name, attributes) {
  const made = document.createElementNS(SPACE, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  return made;
}

function line(places, kind) {
  const [[x1, y1], [x2, y2]] = places;
  return element("line", { x1, y1, x2, y2, class: kind });
}

function radius() { return (26 * width) / sheet.clientWidth; }

function draw() {
  drawing.replaceChildren();
  for (const [name, mark] of marks) {
    if (name !== choice.value && mark.places.length === 2) drawing.append(line(mark.places, "other"));
  }
  const { places } = marks.get(choice.value);
  if (places.length === 2) drawing.append(line(places, "edge"), line(places, "line"));
  places.forEach(([x, y], end) => {
    const handle = element("circle", {
      cx: x, cy: y, r: radius(), class: end === chosenEnd ? "end chosen" : "end", tabindex: 0,
      role: "button", "data-end": end,
      "aria-label": `${choice.selectedOptions[0].textContent}, end ${end + 1} of ${places.length}`,
    });
    drawing.append(handle, element("circle", { cx: x, cy: y, r: radius() / 9, class: "dot" }));
  });
  undoButton.disabled = past.length === 0;
}

function remember() {
  const mark = marks.get(choice.value);
  past.push({ name: choice.value, places: mark.places.map((p) => [...p]), moved: mark.moved });
}

function put(end, x, y) {
  const mark = marks.get(choice.value);
  mark.places[end] = [Math.min(Math.max(x, 0), width), Math.min(Math.max(y, 0), height)];
  mark.moved = true;
  write(mark);
  draw();
}

function write(mark) {
  mark.field.value = mark.moved
    ? mark.places.map(([x, y]) => `${x.toFixed(1)} ${y.toFixed(1)}`).join(" ") : "";
}

function inDrawing(event) {
  const box = drawing.getBoundingClientRect();
  return [((event.clientX - box.left) * width) / box.width, ((event.clientY - box.top) * height) / box.height];
}

// The end follows the finger by as much as that moves, so that it need not lie under it.
drawing.addEventListener("pointerdown", (event) => {
  const end = Number(event.target.dataset.end ?? NaN);
  if (Number.isNaN(end)) return;
  event.preventDefault();
  chosenEnd = end;
  remember();
  const from = inDrawing(event);
  const start = [...marks.get(choice.value).places[end]];
  const move = (step) => {
    const at = inDrawing(step);
    put(end, start[0] + at[0] - from[0], start[1] + at[1] - from[1]);
  };
  const stop = () => {
    document.removeEventListener("pointermove", move);
    said.textContent = `Moved ${choice.selectedOptions[0].textContent}, end ${end + 1}.`;
  };
  document.addEventListener("pointermove", move);
  document.addEventListener("pointerup", stop, { once: true });
  document.addEventListener("pointercancel", stop, { once: true });
});

board.addEventListener("keydown", (event) => {
  const steps = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
  const step = steps[event.key];
  if (!step) return;
  event.preventDefault();
  const end = Number(document.activeElement.dataset.end ?? chosenEnd);
  chosenEnd = end;
  remember();
  const far = event.shiftKey ? 10 : 1;
  const [x, y] = marks.get(choice.value).places[end];
  put(end, x + far * step[0], y + far * step[1]);
  drawing.querySelector(`[data-end="${end}"]`).focus();
});

undoButton.addEventListener("click", () => {
  const last = past.pop();
  if (!last) return;
  const mark = marks.get(last.name);
  mark.places = last.places;
  mark.moved = last.moved;
  write(mark);
  choice.value = last.name;
  said.textContent = "Undone.";
  draw();
});

function enlarge(factor) {
  const middle = [
    (board.scrollLeft + board.clientWidth / 2) / sheet.clientWidth,
    (board.scrollTop + board.clientHeight / 2) / sheet.clientHeight,
  ];
  zoom = Math.min(Math.max(zoom * factor, 1), 6);
  sheet.style.width = `${100 * zoom}%`;
  board.scrollLeft = middle[0] * sheet.clientWidth - board.clientWidth / 2;
  board.scrollTop = middle[1] * sheet.clientHeight - board.clientHeight / 2;
  draw();
}

document.getElementById("larger").addEventListener("click", () => enlarge(1.5));
document.getElementById("smaller").addEventListener("click", () => enlarge(1 / 1.5));
choice.addEventListener("change", () => { chosenEnd = 0; draw(); });
window.addEventListener("resize", draw);
document.getElementById("board-tools").hidden = false;
const missing = [...marks.values()].find((mark) => mark.field.dataset.found === "no");
if (missing) choice.value = missing.field.name;
draw();
