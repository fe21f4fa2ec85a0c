/** Small tools for building the page. Text always goes in as text, never as markup. */
ds.dom = (() => {
  const byId = (id) => document.getElementById(id);

  /**
   * Makes an element. `props`: `class`, `on` (an object of listeners), `data` (an object), any property of the element, or an attribute
   * (`aria-…`, `role`, `for`). Children are elements or texts; null and false are left out.
   */
  const el = (tag, props, ...children) => {
    const made = document.createElement(tag);
    for (const [key, value] of Object.entries(props || {})) {
      if (value === null || value === undefined || value === false) continue;
      if (key === 'class') made.className = value;
      else if (key === 'on') for (const [name, listener] of Object.entries(value)) made.addEventListener(name, listener);
      else if (key === 'data') Object.assign(made.dataset, value);
      else if (key === 'for') made.htmlFor = value;
      else if (key in made && key !== 'role' && key !== 'list' && !key.startsWith('aria')) made[key] = value;
      else made.setAttribute(key, value === true ? '' : String(value));
    }
    put(made, children);
    return made;
  };

  const put = (into, children) => {
    for (const child of children.flat(Infinity)) {
      if (child !== null && child !== undefined && child !== false) into.append(child);
    }
    return into;
  };

  /** Empties an element and fills it anew. */
  const fill = (into, ...children) => {
    into.replaceChildren();
    return put(into, children);
  };

  const button = (words, act, props) => el('button', { type: 'button', ...props, on: { click: act } }, words);

  let made = 0;
  const freshId = (stem) => `${stem}-${(made += 1)}`;

  return { byId, el, put, fill, button, freshId };
})();

/** Listeners by event. A listener that throws keeps no other from hearing. */
ds.emitter = () => {
  const heard = new Map();
  const on = (event, listener) => {
    if (!heard.has(event)) heard.set(event, new Set());
    heard.get(event).add(listener);
    return () => heard.get(event).delete(listener);
  };
  const emit = (event, news) => {
    for (const listener of [...(heard.get(event) || [])]) {
      try {
        listener(news);
      } catch (error) {
        console.error(error);
      }
    }
  };
  return { on, emit };
};

/** Hands a text over as a file of its own. */
ds.download = (name, text, type) => {
  const address = URL.createObjectURL(new Blob([text], { type: type || 'text/yaml' }));
  const link = ds.dom.el('a', { href: address, download: name, hidden: true });
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(address), 10000);
};
