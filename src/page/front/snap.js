// Lengths and headings as a person writes them, and the steps to which a gesture snaps. No state, no drawing.
/* global ds */
ds.snap = (() => {
  // Exact by definition (international foot and inch, 1959).
  const FOOT = 0.3048;
  const INCH = 0.0254;
  const COMPASS = { north: [0, 1, 0], east: [1, 0, 0], south: [0, -1, 0], west: [-1, 0, 0] };
  const NAMES = ['east', 'north-east', 'north', 'north-west', 'west', 'south-west', 'south', 'south-east'];
  const isSi = () => Boolean(ds.doc && ds.doc.view && ds.doc.view.units === 'si');

  /** A length in the units of the sketch, so that the sketch reads it: `10 ft 6 in`, `3.2 m`. */
  function say(m, si = isSi()) {
    if (si) return `${Number(m.toFixed(3))} m`;
    const inches = Math.round((m / INCH) * 4) / 4;
    const feet = Math.floor(inches / 12 + 1e-9);
    const rest = Number((inches - 12 * feet).toFixed(2));
    if (feet === 0) return `${rest} in`;
    return rest === 0 ? `${feet} ft` : `${feet} ft ${rest} in`;
  }

  /** Reads what was typed: `10`, `10 6`, `10 ft 6 in`, `6 in`, `3.2 m`. Gives metres and the words to write, or null. */
  function read(text, si = isSi()) {
    const t = String(text).trim().toLowerCase().replace(/(\d),(\d{1,3})(?!\d)/g, '$1.$2');
    const number = '(\\d+(?:\\.\\d+)?|\\.\\d+)';
    const found = (pattern) => new RegExp(`^${pattern}$`).exec(t);
    let m = found(`${number}\\s*(mm|cm|m)`);
    if (m) {
      const size = { mm: 0.001, cm: 0.01, m: 1 }[m[2]];
      return sound(Number(m[1]) * size, `${Number(m[1])} ${m[2]}`);
    }
    m = found(`${number}\\s*(?:in|")`);
    if (m) return sound(Number(m[1]) * INCH, `${Number(m[1])} in`);
    m = found(`(\\d+)\\s*(?:ft|'|\\s)\\s*${number}\\s*(?:in|")?`);
    if (m && (!si || /ft|'/.test(t))) {
      const inches = Number(m[2]);
      if (inches >= 12) return null;
      const words = inches === 0 ? `${Number(m[1])} ft` : `${Number(m[1])} ft ${inches} in`;
      return sound(Number(m[1]) * FOOT + inches * INCH, words);
    }
    m = found(`${number}\\s*(?:ft|')`);
    if (m) return sound(Number(m[1]) * FOOT, `${Number(m[1])} ft`);
    m = found(number);
    if (!m) return null;
    return si ? sound(Number(m[1]), `${Number(m[1])} m`) : sound(Number(m[1]) * FOOT, `${Number(m[1])} ft`);
  }

  function sound(m, text) {
    return Number.isFinite(m) && m >= 0 && m <= 1000 ? { m, text } : null;
  }

  /** The step of lengths at a scale (px a metre): a foot or a quarter of a metre, finer the nearer one looks. */
  function lengthStep(scale, si = isSi()) {
    if (si) return scale >= 600 ? 0.05 : scale >= 250 ? 0.1 : 0.25;
    const foot = scale * FOOT;
    return foot >= 200 ? INCH : foot >= 80 ? 6 * INCH : FOOT;
  }

  /** The step of distances along a run. */
  const alongStep = (si = isSi()) => (si ? 0.1 : 6 * INCH);
  const finer = (step, si = isSi()) => (si ? 0.05 : step > 6 * INCH ? 6 * INCH : INCH);
  const round = (m, step) => Math.round(m / step) * step;

  const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
  const turned = (v, degrees) => {
    const t = (degrees * Math.PI) / 180;
    const flat = (x) => (Math.abs(x) < 1e-9 ? 0 : x);
    return [flat(v[0] * Math.cos(t) - v[1] * Math.sin(t)), flat(v[0] * Math.sin(t) + v[1] * Math.cos(t)), 0];
  };
  const level = (v) => {
    const size = Math.hypot(v[0], v[1]);
    return size > 1e-6 ? [v[0] / size, v[1] / size, 0] : null;
  };
  const isUpright = (v) => Boolean(v) && Math.abs(v[2]) > 0.9;

  /** `north` for a vector that points there within a degree, else null. */
  function compass(v) {
    for (const [name, to] of Object.entries(COMPASS)) if (dot(v, to) > 0.9998) return name;
    return null;
  }

  /** The nearest word for a heading, for people: `north-east`, `up`. */
  function headingWords(v) {
    if (!v) return '';
    if (isUpright(v)) return v[2] > 0 ? 'up' : 'down';
    const eighth = Math.round((Math.atan2(v[1], v[0]) * 4) / Math.PI);
    return NAMES[(eighth + 8) % 8];
  }

  /** What turns a heading into another: null when it goes on, `{heading, degrees}` for an elbow, false where one elbow cannot. */
  function turn(from, to) {
    if (!from) return null;
    if (isUpright(from)) {
      if (isUpright(to)) return dot(from, to) > 0 ? null : false;
      const heading = compass(to);
      return heading ? { heading, degrees: null } : false;
    }
    if (isUpright(to)) return { heading: to[2] > 0 ? 'up' : 'down', degrees: null };
    const angle = (Math.atan2(from[0] * to[1] - from[1] * to[0], from[0] * to[0] + from[1] * to[1]) * 180) / Math.PI;
    const eighth = Math.round(angle / 45);
    const side = eighth > 0 ? 'left' : 'right';
    if (eighth === 0) return null;
    if (Math.abs(eighth) === 1) return { heading: side, degrees: '45' };
    if (Math.abs(eighth) === 2) return { heading: compass(to) || side, degrees: null };
    return false;
  }

  /** Headings that one can go on to from a heading: level ones within a quarter turn. */
  function headingsFrom(from) {
    if (!from || isUpright(from)) return Object.values(COMPASS);
    return [0, 45, -45, 90, -90].map((degrees) => turned(level(from), degrees));
  }

  /** The heading of a list nearest to a drag (m), with the length along it. */
  function nearest(headings, drag) {
    let best = null;
    for (const heading of headings) {
      const along = heading[0] * drag[0] + heading[1] * drag[1];
      if (!best || along > best.along) best = { heading, along };
    }
    return best;
  }

  return { FOOT, INCH, COMPASS, isSi, say, read, lengthStep, alongStep, finer, round, dot, turned, level, isUpright, compass, headingWords, turn, headingsFrom, nearest };
})();
