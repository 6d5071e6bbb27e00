// A form whose pieces of work are kept on this phone before they are sent: every `form[data-piece]`. Without this the form posts as any other.
(() => {
  if (!globalThis.Outbox) return;
  const SAYS = "says"; // what is to be told on the page that comes next
  const UNTOLD = new Set(["csrfmiddlewaretoken", "password"]);

  const textOf = (one) => one?.textContent.trim().replace(/\s+/g, " ") ?? "";
  const legendOf = (field) => textOf(field.closest("fieldset")?.querySelector("legend"));
  const labelOf = (field) => textOf(field.labels?.[0]);

  const valueOf = (field) => {
    if (field.type === "file") return [...field.files].map((one) => one.name).join(", ");
    if (field.tagName === "SELECT") return [...field.selectedOptions].map((one) => textOf(one)).join(", ");
    return field.value;
  };

  // the piece as a person reads it: what each field is called, and what was given
  const wordsOf = (form) => {
    const words = new Map();
    for (const field of form.elements) {
      if (!field.name || field.type === "hidden" || field.disabled || ["BUTTON", "FIELDSET"].includes(field.tagName)) continue;
      const ticked = ["checkbox", "radio"].includes(field.type);
      if (ticked && !field.checked) continue;
      const several = ticked && form.elements[field.name].length > 1;
      const label = several ? legendOf(field) || field.name : labelOf(field) || field.name;
      const value = several ? labelOf(field) : ticked ? "yes" : valueOf(field);
      if (value) words.set(label, words.has(label) ? `${words.get(label)}, ${value}` : value);
    }
    return [...words];
  };

  const fieldsOf = (form, by) => [...new FormData(form, by)]
    .filter(([name, value]) => !UNTOLD.has(name) && !(value instanceof File && !value.size && !value.name))
    .map(([name, value]) => value instanceof File ? [name, value, value.name] : [name, value]);

  const titleOf = (form) => form.dataset.title || textOf(form.querySelector("legend, h2, h3")) || textOf(form.querySelector("[type=submit]"));

  const pieceOf = (form, by) => ({
    address: new URL(form.action).pathname,
    page: location.pathname,
    form: form.id,
    sheet: form.dataset.piece,
    title: titleOf(form),
    fields: fieldsOf(form, by),
    words: wordsOf(form),
  });

  // a locate begun here gets its key from the phone, so that its guide has an address before the server knows of it
  const begins = async (form, piece) => {
    const sheet = crypto.randomUUID();
    const blank = form.dataset.blank;
    await Kept.begun.add({ sheet, blank, guide: form.dataset.guide, at: new Date().toISOString() });
    return {
      ...piece,
      sheet,
      begins: true,
      address: piece.address.replace(blank, sheet),
      page: `/field/${sheet}/`,
      fields: piece.fields.map(([name, value, ...file]) => [name, value === blank ? sheet : value, ...file]),
    };
  };

  const mendedBy = async (form) => (await Outbox.mine()).find((one) => one.key === form.dataset.mends);

  const stored = async (form, by) => {
    const mended = await mendedBy(form);
    const piece = pieceOf(form, by);
    if (mended) {
      await Outbox.change(mended, { fields: piece.fields, words: piece.words });
      return mended;
    }
    const made = form.dataset.guide ? await begins(form, piece) : piece;
    await Outbox.add(made);
    return made;
  };

  const onward = (told) => {
    const next = new URL(told.next ?? location.href, location.href);
    sessionStorage.setItem(SAYS, told.says ?? "");
    if (next.pathname + next.search !== location.pathname + location.search) return location.assign(next);
    history.replaceState(null, "", next);
    return location.reload();
  };

  const say = (form, words, kind = "") => {
    const line = form.querySelector("[data-says]") ?? form.appendChild(Object.assign(document.createElement("p"), { tabIndex: -1 }));
    line.dataset.says = "";
    line.className = `told ${kind}`;
    line.setAttribute("role", "status");
    line.textContent = words;
    line.focus();
  };

  const handIn = async (event) => {
    const form = event.target;
    if (!(form instanceof HTMLFormElement) || !("piece" in form.dataset) || event.defaultPrevented || !Outbox.person()) return;
    event.preventDefault();
    if (form.dataset.underway) return;
    form.dataset.underway = "yes";
    try {
      const piece = await stored(form, event.submitter);
      const came = await Outbox.flush();
      const ours = came.findLast((one) => one.piece.sheet === piece.sheet && one.piece.address === piece.address);
      if (ours?.came === "gone") return onward(ours.told);
      if (ours?.came === "held") return;
      if (piece.begins) return location.assign(piece.page);
      form.reset();
      delete form.dataset.mends;
      say(form, "Kept on this phone. It is sent as soon as there is a line.");
    } catch (trouble) {
      say(form, `This phone could not keep it (${trouble.name}): nothing was recorded. Free some room on the phone, and hand it in again.`, "error");
    } finally {
      delete form.dataset.underway;
    }
  };

  const toldBefore = () => {
    const says = sessionStorage.getItem(SAYS);
    sessionStorage.removeItem(SAYS);
    if (!says) return;
    const line = Object.assign(document.createElement("p"), { className: "told success", textContent: says });
    line.setAttribute("role", "status");
    document.querySelector("main")?.prepend(line);
  };

  document.addEventListener("submit", handIn);
  toldBefore();
})();
