/** The library in a thread of its own, so that the page stays quick and a computation that is no longer wanted can be ended. */
ds.workerFile = (() => {
  /** Runs inside the thread: one text in, one text out. */
  const inside = () => {
    let library = null;
    const call = (request) => {
      const { memory, board_reserve: reserve, board_call: ask, board_reply: reply } = library.exports;
      const bytes = new TextEncoder().encode(request);
      const at = reserve(bytes.length);
      new Uint8Array(memory.buffer, at, bytes.length).set(bytes);
      const length = ask(bytes.length);
      const from = reply();
      return new TextDecoder().decode(new Uint8Array(memory.buffer, from >>> 0, length >>> 0));
    };
    onmessage = async ({ data }) => {
      try {
        if (data.module) library = await WebAssembly.instantiate(data.module, {});
        else postMessage({ reply: call(data.request) });
      } catch (error) {
        postMessage({ failed: String(error) });
      }
    };
  };

  const address = () => URL.createObjectURL(new Blob([`(${inside.toString()})()`], { type: 'text/javascript' }));

  const ended = { ok: false, refused: { title: 'the computation ended without an answer', hint: 'it may be too large for this browser; the program on this machine takes more' } };

  /** A lane: one request at a time, in order. `newest`: a newer request ends the one at work. */
  const lane = (module, newest) => {
    let thread = null;
    let at = null;
    const waiting = [];

    const begin = () => {
      const url = address();
      thread = new Worker(url);
      URL.revokeObjectURL(url);
      thread.postMessage({ module });
      thread.onmessage = ({ data }) => done(data.reply === undefined ? null : data.reply);
      thread.onerror = () => done(null);
    };

    const end = () => {
      if (thread) thread.terminate();
      thread = null;
    };

    const done = (reply) => {
      const { resolve } = at || { resolve: () => {} };
      at = null;
      if (reply === null) {
        end();
        resolve(ended);
      } else {
        resolve(JSON.parse(reply));
      }
      next();
    };

    const next = () => {
      if (at || !waiting.length) return;
      at = waiting.shift();
      if (!thread) begin();
      thread.postMessage({ request: at.request });
    };

    return (request) => new Promise((resolve, reject) => {
      if (newest && (at || waiting.length)) {
        for (const one of [at, ...waiting.splice(0)]) if (one) one.reject({ stale: true });
        at = null;
        end();
      }
      waiting.push({ request: JSON.stringify(request), resolve, reject });
      next();
    });
  };

  return { lane };
})();
