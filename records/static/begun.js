// The page on which a locate is begun also holds its empty steps: shown in its place once the locate was begun on this phone and the server does not know it yet.
(() => {
  const { begunAt } = document.documentElement.dataset;
  const steps = document.getElementById("steps");
  if (!begunAt || !steps) return;
  const begin = document.querySelector("form[data-guide]");
  document.querySelector("h1").textContent = "A locate begun on this phone";
  document.title = "A locate begun on this phone · Spadework";
  document.querySelector("[data-waiting]").dataset.waiting = steps.dataset.sheet;
  begin.nextElementSibling.remove();
  begin.remove();
  steps.replaceWith(steps.content);
  globalThis.Outbox?.heard.dispatchEvent(new Event("change"));
})();
