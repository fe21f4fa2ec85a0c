/** Figures as the command line's text shows them: same units, same digits. */
ds.numbers = (() => {
  const CFM_M3_S = 0.3048 ** 3 / 60;
  const IN_M = 0.0254;

  /** Fixed decimals; a figure that stands exactly half way goes to the even one, and nothing is below zero when it shows as zero. */
  const number = (value, decimals) => {
    if (!Number.isFinite(value)) return 'n/a';
    let shown = value.toFixed(decimals);
    const twice = Math.abs(value) * 2 * 10 ** decimals;
    if (twice < 2 ** 50 && Number.isInteger(value * 2 ** (decimals + 1)) && Number.isInteger(twice) && twice % 2 === 1) {
      const whole = (twice - 1) / 2;
      const even = whole % 2 === 0 ? whole : whole + 1;
      shown = ((Math.sign(value) * even) / 10 ** decimals).toFixed(decimals);
    }
    return /^-[0.]*$/.test(shown) ? shown.slice(1) : shown;
  };

  const threeDigits = (value) => {
    const size = Math.abs(value);
    return number(value, size >= 99.95 ? 0 : size >= 0.995 ? 1 : 2);
  };

  const units = () => (ds.doc.view && ds.doc.view.units === 'si' ? 'si' : 'ip');
  const flowUnit = () => (units() === 'si' ? 'L/s' : 'cfm');
  const inUnit = (m3s) => (units() === 'si' ? m3s * 1000 : m3s / CFM_M3_S);
  const signedFlow = (m3s) => threeDigits(inUnit(m3s));
  const leak = (m3s) => signedFlow(m3s < 0 ? 0 : m3s);
  const leaks = (band) => `${leak(band.p05)} to ${leak(band.p95)}`;
  const withUnit = (m3s) => `${leak(m3s)} ${flowUnit()}`;
  const withBand = (band) => `${leak(band.mean)} ${flowUnit()} (${leaks(band)})`;

  const percentDigits = (part) => number(100 * part, 100 * part >= 9.95 ? 0 : 1);
  const percent = (part) => (Number.isFinite(part) ? `${percentDigits(part)} %` : 'n/a');
  const chance = (part) => {
    const value = 100 * part;
    if (!Number.isFinite(value)) return 'n/a';
    if (value > 0 && value < 0.095) return '<0.1 %';
    if (value > 0 && value < 0.95) return `${number(value, 1)} %`;
    if (value > 99.4 && value < 100) return '>99 %';
    return `${number(value, 0)} %`;
  };

  /** At least so many significant digits; figures before the point are always whole, and no idle zeros stand at the end. */
  const significant = (value, digits) => {
    if (!Number.isFinite(value)) return 'n/a';
    const magnitude = value === 0 ? 0 : Math.floor(Math.log10(Math.abs(value)));
    const shown = number(value, Math.max(0, Math.min(100, digits - 1 - magnitude)));
    return shown.includes('.') ? shown.replace(/\.?0+$/, '') : shown;
  };

  /** A value of a reading: flows in the sketch's unit, pressures in Pa in both systems, as the trade says test pressures. */
  const ofReading = (value, unit, observable) => {
    if (unit === 'm3/s') return observable === 'fan-flow' ? leak(value) : signedFlow(value);
    const size = Math.abs(value);
    return number(value, size >= 99.95 ? 0 : size >= 9.995 ? 1 : 2);
  };
  const readingUnit = (unit) => (unit === 'm3/s' ? flowUnit() : 'Pa');

  /** `2 h 58 min` */
  const minutes = (value) => {
    const whole = Math.round(value);
    const hours = Math.floor(whole / 60);
    const rest = whole % 60;
    if (!hours) return `${rest} min`;
    return rest ? `${hours} h ${rest} min` : `${hours} h`;
  };

  const length = (m) => (units() === 'si' ? `${number(m, 2)} m` : `${number(m / (12 * IN_M), 1)} ft`);

  /** Square inches or square centimetres of something that stands open. */
  const opening = (m2) => (units() === 'si' ? `${number(m2 * 1e4, 0)} cm2` : `${number(m2 / (IN_M * IN_M), 1)} in2`);

  return { number, significant, threeDigits, flowUnit, leak, leaks, withUnit, withBand, signedFlow, percent, chance, ofReading, readingUnit, minutes, length, opening };
})();
