/** Home in the program: the page is served by `ductseam page` and asks it for everything. */
ds.hostServer = (() => {
  const KEY = 'board-token';
  const tab = Array.from(crypto.getRandomValues(new Uint8Array(8)), (byte) => byte.toString(16).padStart(2, '0')).join('');
  let token = null;
  let revision = 0;
  let hasPhoto = false;
  let begun = () => {};
  const opening = new Promise((done) => {
    begun = done;
  });
  let outside = () => {};

  /** The token comes once with the address; afterwards it is in no address and no history. */
  const takeToken = async () => {
    const given = location.hash.slice(1);
    if (/^[0-9A-Za-z_-]{20,}$/.test(given)) {
      history.replaceState(null, '', location.pathname);
      token = given;
      // What the browser was opened with is good once.
      if (given.startsWith('once-')) ({ token } = await json(await call('/api/key', { method: 'POST' })));
      sessionStorage.setItem(KEY, token);
    }
    token = sessionStorage.getItem(KEY);
  };

  const call = async (path, options) => {
    let reply;
    try {
      reply = await fetch(path, {
        cache: 'no-store',
        ...options,
        headers: { 'x-board-token': token || '', ...(options && options.headers) },
      });
    } catch {
      throw { lost: true, words: 'the program does not answer' };
    }
    if (reply.status === 403 || reply.status === 401) {
      throw { lost: true, words: 'the program was started anew: open the address that it shows now' };
    }
    return reply;
  };

  const json = async (reply) => {
    try {
      return await reply.json();
    } catch {
      throw { lost: true, words: 'the program answered with something that cannot be read' };
    }
  };

  const post = (path, body) =>
    call(path, { method: 'POST', headers: { 'content-type': 'application/json' }, body: JSON.stringify(body) });

  const failed = async (reply) => {
    const said = await reply.json().catch(() => null);
    const refused = said && said.refused;
    const words = (refused && refused.title) || `the program refused (${reply.status})`;
    return { lost: true, words, hint: refused ? refused.hint : null };
  };

  const start = async () => {
    await takeToken();
    const reply = await post('/api/open', { tab });
    if (!reply.ok) throw await failed(reply);
    const opened = await json(reply);
    revision = opened.revision;
    hasPhoto = opened.photo === true;
    begun();
    listen();
    return opened;
  };

  const ask = async (request, lane) => {
    const reply = await post(`/api/ask?tab=${tab}&lane=${lane}`, request);
    if (reply.status === 409) throw { stale: true };
    if (!reply.ok) {
      const { words, hint } = await failed(reply);
      return { ok: false, refused: { title: words, hint: hint || null } };
    }
    return json(reply);
  };

  const save = async (text, base, force) => {
    const reply = await post('/api/save', force ? { text, base, tab, force: true } : { text, base, tab });
    if (reply.status === 409) return json(reply);
    if (!reply.ok) throw await failed(reply);
    const saved = await json(reply);
    revision = Math.max(revision, saved.revision);
    return saved;
  };

  /** Tells the program that the file as it is was chosen; another text that it keeps for this page is no longer wanted. */
  const settle = async (file) => {
    await post('/api/save', { text: file.text, base: file.revision, tab });
  };

  const pause = (ms) => new Promise((done) => setTimeout(done, ms));

  const inSight = () => new Promise((done) => {
    const look = () => {
      if (document.visibilityState === 'hidden') return;
      document.removeEventListener('visibilitychange', look);
      done();
    };
    document.addEventListener('visibilitychange', look);
    look();
  });

  /** Waits at the program for what others write, as long as the page is in sight. */
  const listen = async () => {
    for (;;) {
      // A page out of sight asks nothing: a browser gives all pages of one address six connections together.
      await inSight();
      const gone = new AbortController();
      const stop = () => gone.abort();
      document.addEventListener('visibilitychange', stop, { once: true });
      try {
        const reply = await call(`/api/changes?revision=${revision}&tab=${tab}`, { signal: gone.signal });
        if (!reply.ok) throw await failed(reply);
        const news = await json(reply);
        const newer = news.revision > revision;
        revision = Math.max(revision, news.revision);
        if (newer && typeof news.text === 'string') outside({ text: news.text, revision: news.revision });
      } catch {
        if (!gone.signal.aborted) await pause(3000);
      } finally {
        document.removeEventListener('visibilitychange', stop);
      }
    }
  };

  const photo = async () => {
    await opening;
    if (!hasPhoto) return null;
    const reply = await call('/api/photo');
    if (!reply.ok) return null;
    const blob = await reply.blob();
    const placed = await call('/api/photo/place');
    return { blob, placement: placed.ok ? await placed.json().catch(() => null) : null };
  };

  const setPhoto = async (blob, placement) => {
    if (blob === null) {
      const gone = await call('/api/photo', { method: 'DELETE' });
      if (!gone.ok) throw await failed(gone);
      hasPhoto = false;
      return;
    }
    if (blob) {
      const put = await call('/api/photo', { method: 'PUT', headers: { 'content-type': blob.type || 'application/octet-stream' }, body: blob });
      if (!put.ok) throw await failed(put);
      hasPhoto = true;
    }
    if (placement) {
      const put = await call('/api/photo/place', { method: 'PUT', headers: { 'content-type': 'application/json' }, body: JSON.stringify(placement) });
      if (!put.ok) throw await failed(put);
    }
  };

  return {
    home: 'server',
    start,
    ask,
    save,
    settle,
    photo,
    setPhoto,
    onOutside: (listener) => {
      outside = listener;
    },
  };
})();
