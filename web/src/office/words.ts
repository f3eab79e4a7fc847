// How lengths, times and sizes read. Knows no page and no server.

const MM = 25.4;

// Feet, inches and sixteenths: 97.125 is 8'-1 1/8".
export const feetInches = (inches: number): string => {
  const sixteenths = Math.round(Math.abs(inches) * 16);
  const sign = inches < 0 && sixteenths > 0 ? "−" : "";
  const feet = Math.floor(sixteenths / 192);
  const whole = Math.floor((sixteenths % 192) / 16);
  let [over, under] = [sixteenths % 16, 16];
  while (over > 0 && over % 2 === 0) [over, under] = [over / 2, under / 2];
  const part = over > 0 ? `${over}/${under}` : "";
  const rest = part === "" ? `${whole}"` : whole === 0 && feet === 0 ? `${part}"` : `${whole} ${part}"`;
  return sign + (feet > 0 ? `${feet}'-${rest}` : rest);
};
export const millimetres = (inches: number): string => `${Math.round(inches * MM).toLocaleString("en-US")} mm`;

// The unit people of that drawing think in comes first.
export const length = (inches: number, metric: boolean): string =>
  metric ? `${millimetres(inches)} (${feetInches(inches)})` : `${feetInches(inches)} (${millimetres(inches)})`;
export const shortLength = (inches: number, metric: boolean): string => (metric ? millimetres(inches) : feetInches(inches));

const FRACTION = String.raw`(?:\d+\s*\/\s*\d+)`;
const FEET = new RegExp(String.raw`^(\d+(?:\.\d+)?)\s*(?:'|ft|feet|′)\s*-?\s*(.*)$`, "i");
const INCHES = new RegExp(String.raw`^(?:(\d+(?:\.\d+)?)(?:\s+|-)?)?(${FRACTION})?\s*(?:"|in|inches|″|'')?$`, "i");
const METRIC = /^(\d+(?:\.\d+)?)\s*(mm|cm|m)$/i;
const OF_METRIC: Record<string, number> = { mm: 1 / MM, cm: 10 / MM, m: 1000 / MM };

const inchesOf = (text: string): number | null => {
  const found = INCHES.exec(text);
  if (!found || (found[1] === undefined && found[2] === undefined)) return null;
  const [over = 0, under = 1] = found[2] === undefined ? [] : found[2].split("/").map(Number);
  return under === 0 ? null : Number(found[1] ?? 0) + over / under;
};

// What a person typed, in inches: 8'-1 1/8", 97.125, 2467 mm. `null` if it is no length.
export const readLength = (typed: string): number | null => {
  const text = typed.trim().replace(/[’]/g, "'").replace(/[”“]/g, '"');
  const metric = METRIC.exec(text);
  if (metric) return Number(metric[1]) * (OF_METRIC[(metric[2] ?? "").toLowerCase()] ?? Number.NaN);
  const feet = FEET.exec(text);
  if (!feet) return inchesOf(text);
  const rest = (feet[2] ?? "").trim();
  const inches = rest === "" ? 0 : inchesOf(rest);
  return inches === null ? null : Number(feet[1]) * 12 + inches;
};

export const bytes = (n: number): string =>
  n < 1000 ? `${n} bytes` : n < 1e6 ? `${(n / 1e3).toFixed(n < 1e4 ? 1 : 0)} kB` : n < 1e9 ? `${(n / 1e6).toFixed(n < 1e7 ? 1 : 0)} MB`
  : `${(n / 1e9).toFixed(1)} GB`;

// A moment as this machine writes it.
export const moment = (seconds: number): string =>
  new Date(seconds * 1000).toLocaleString(undefined, { dateStyle: "medium", timeStyle: "short" });

export const percent = (share: number): string => `${Math.round(share * 100)} %`;
