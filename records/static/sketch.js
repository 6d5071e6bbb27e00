// The sketch: shapes of a form drawn on a metre grid. Without it the form's own field serves. Its parts are fetched when the first sketch is opened.
(() => {
  const TITLES = { outline: "Draw the outline", area: "Draw the ground", line: "Draw the line", point: "Draw the place" };
  const label = (field) => (field.labels?.[0]?.textContent ?? "the shape").replace("*", "").trim();

  const build = async (inside, fields, told) => {
    told.textContent = "Fetching the drawing things…";
    const things = await import("./sketch/board.js").catch(() => null);
    if (!things) {
      told.textContent = "The drawing things could not be fetched. Close this and open it again when there is a connection; the points can be typed in the meantime.";
      return false;
    }
    told.remove();
    new things.Board(inside, fields, label(fields[0]));
    return true;
  };

  const offer = (element) => {
    const fields = (element.dataset.field ?? "").split(" ").map((id) => document.getElementById(id));
    if (element.firstElementChild || !fields.length || fields.includes(null)) return;
    const fold = document.createElement("details");
    const inside = document.createElement("div");
    const told = document.createElement("p");
    told.setAttribute("role", "status");
    Object.assign(inside.dataset, element.dataset);
    delete inside.dataset.sketch;
    fold.className = "sketch-sheet";
    fold.append(Object.assign(document.createElement("summary"), { textContent: TITLES[element.dataset.what] ?? `Draw: ${label(fields[0])}` }), inside);
    inside.append(told);
    element.append(fold);
    fold.open = "open" in element.dataset;
    // built once it is in sight: what is folded away has no size to be drawn in
    let ready = false;
    new IntersectionObserver(async ([seen], watch) => {
      if (!seen.isIntersecting || ready) return;
      ready = true;
      ready = await build(inside, fields, told);
      if (ready) watch.disconnect();
    }).observe(inside);
  };

  // A shape that the server offers, such as a line of a file: `data-shape-for` names the field, `data-shape` is what is to stand in it.
  const take = ({ target }) => {
    const offered = target.closest?.("[data-shape-for]");
    const field = offered && document.getElementById(offered.dataset.shapeFor);
    if (!field) return;
    field.value = offered.dataset.shape;
    field.dispatchEvent(new Event("input", { bubbles: true }));
  };

  const offerAll = () => document.querySelectorAll("[data-sketch]").forEach(offer);
  offerAll();
  document.addEventListener("click", take);
  // somebody put forms into the page, or sent something that changes what lies there
  document.addEventListener("sketch-again", offerAll);
})();
