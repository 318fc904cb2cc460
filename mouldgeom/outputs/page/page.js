/* Tables that are filtered, drawings that are unpacked when they are opened, chapters that are opened for the printer. */
"use strict";
document.documentElement.classList.add("scripted");

const pageData = JSON.parse(document.getElementById("page-data").textContent);

/* The bytes behind compressed text in base 64. */
async function unpack(text) {
  const bytes = Uint8Array.from(atob(text.trim()), (letter) => letter.charCodeAt(0));
  const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("gzip"));
  return new Response(stream).arrayBuffer();
}

function filterTables() {
  const only = document.getElementById("failing-only");
  for (const field of document.querySelectorAll("input.filter")) {
    const wanted = field.value.trim().toLocaleLowerCase();
    const table = document.getElementById(field.dataset.table);
    for (const row of table.tBodies[0].rows) {
      const out = wanted && !row.textContent.toLocaleLowerCase().includes(wanted);
      const passed = table.id === "checks-table" && only.checked && !row.querySelector(".bad");
      row.classList.toggle("none", Boolean(out || passed));
    }
    const left = table.tBodies[0].querySelector("tr:not(.none)");
    document.querySelector(`[data-empty="${table.id}"]`).classList.toggle("none", left !== null);
  }
}
document.addEventListener("input", (event) => {
  if (event.target.matches(".filter, #failing-only")) filterTables();
});

document.addEventListener("click", (event) => {
  const button = event.target.closest("button.mark");
  if (!button) return;
  document.dispatchEvent(new CustomEvent("show-part", { detail: button.dataset.mark }));
  document.getElementById("viewer").focus({ preventScroll: true });
  document.getElementById("model").scrollIntoView();
});

async function openDrawing(details) {
  const sheet = details.querySelector(".sheet");
  if (!details.open || sheet.shadowRoot) return;
  const root = sheet.attachShadow({ mode: "open" });
  try {
    const text = new TextDecoder().decode(await unpack(details.querySelector("script").textContent));
    const drawn = new DOMParser().parseFromString(text, "image/svg+xml").documentElement;
    drawn.setAttribute("style", "width:100%;min-width:44rem;height:auto;display:block");
    root.append(document.adoptNode(drawn));
  } catch {
    root.append(pageData.words.tooOld);
  }
}
for (const details of document.querySelectorAll("details.drawing")) {
  details.addEventListener("toggle", () => openDrawing(details));
}

let openedForPrint = [];
addEventListener("beforeprint", () => {
  openedForPrint = [...document.querySelectorAll("details.chapter:not([open]), #files details:not([open])")];
  for (const details of openedForPrint) details.open = true;
});
addEventListener("afterprint", () => {
  for (const details of openedForPrint) details.open = false;
});
