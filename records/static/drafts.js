// What is typed into a piece's form and not handed in yet stays on this phone, for this person: until it is handed in, forgotten, a week old, or they sign out.
(() => {
  const person = globalThis.Outbox && globalThis.localStorage && Outbox.person();
  if (!person) return;
  const A_WEEK = 7 * 24 * 3600 * 1000;
  const UNKEPT = new Set(["hidden", "file", "password", "submit", "button", "range"]);

  const fieldsOf = (form) => [...form.elements].filter((one) => one.name && one.type && !UNKEPT.has(one.type) && one.tagName !== "FIELDSET");
  const isTicked = (field) => field.type === "checkbox" || field.type === "radio";
  const typed = (form) => fieldsOf(form).filter((one) => !isTicked(one) || one.checked).map((one) => [one.name, one.value]);
  const nameOf = (form) => `draft:${JSON.stringify([person, location.pathname, Outbox.formOf(form)])}`;

  const found = (name) => {
    try {
      const told = JSON.parse(localStorage.getItem(name));
      return told && Date.now() - told.at < A_WEEK ? told.fields : null;
    } catch {
      return null; // not ours, or written by another release
    }
  };

  const follow = (form) => form.querySelectorAll("textarea").forEach((one) => one.dispatchEvent(new Event("input", { bubbles: true })));

  const put = (form, fields) => {
    for (const field of fieldsOf(form)) {
      const given = fields.filter(([name]) => name === field.name).map(([, value]) => value);
      if (isTicked(field)) field.checked = given.includes(field.value);
      else if (given.length) field.value = given[0];
    }
    follow(form); // a sketch follows its field
  };

  const tellBack = (form, forget) => {
    const line = Object.assign(document.createElement("p"), { className: "told" });
    line.setAttribute("role", "status");
    line.dataset.draft = "";
    const button = Object.assign(document.createElement("button"), { type: "button", className: "quiet", textContent: "Forget it" });
    button.addEventListener("click", forget);
    line.append("What you typed here and did not hand in is back. ", button);
    form.prepend(line);
    for (let fold = form.closest("details"); fold; fold = fold.parentElement.closest("details")) fold.open = true;
  };

  const watch = (form) => {
    const name = nameOf(form), begun = JSON.stringify(typed(form));
    const gone = () => {
      localStorage.removeItem(name);
      form.querySelector("[data-draft]")?.remove();
    };
    const keep = () => {
      const fields = typed(form);
      if (JSON.stringify(fields) === begun) return gone();
      return localStorage.setItem(name, JSON.stringify({ at: Date.now(), fields }));
    };
    const before = found(name);
    if (before) {
      put(form, before);
      tellBack(form, () => {
        form.reset();
        follow(form);
        gone();
      });
    }
    form.addEventListener("input", keep);
    form.addEventListener("change", keep);
    form.addEventListener("submit", gone); // from here on the outbox has it
    form.addEventListener("reset", gone);
  };

  document.querySelectorAll("form[data-piece]").forEach(watch);
})();
