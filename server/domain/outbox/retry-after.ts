const MONTHS = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec'];
const TIME = String.raw`(?<hour>\d{2}):(?<minute>\d{2}):(?<second>\d{2})`;
/** The one form that is written, and the two obsolete ones that must be read. @source [RFC9110] 5.6.7 */
const DATE_FORMS = [
  String.raw`\w{3}, (?<day>\d{2}) (?<month>\w{3}) (?<year>\d{4}) ${TIME} GMT`,
  String.raw`\w{6,9}, (?<day>\d{2})-(?<month>\w{3})-(?<year>\d{2}) ${TIME} GMT`,
  String.raw`\w{3} (?<month>\w{3}) (?<day>[ \d]\d) ${TIME} (?<year>\d{4})`,
].map((form) => new RegExp(`^${form}$`));
const YEARS_AHEAD = 50;

/** Statuses with which a receiver may say when to come again. @source [RFC9110] 10.2.3; [RFC6585] 4 */
export function mayPutOff(status: number): boolean {
  return status === 429 || status === 503;
}

/**
 * When a receiver asks to be tried again.
 * @param value of the header field `Retry-After`: seconds, or a date; null when it was not sent
 * @param nowMs when the answer came, ms since epoch
 * @returns ms since epoch, in the past where it says so; null when it says nothing that can be understood
 * @source [RFC9110] 10.2.3
 */
export function retryAfterMs(value: string | null, nowMs: number): number | null {
  const text = value?.trim() ?? '';
  return /^\d{1,9}$/.test(text) ? nowMs + Number(text) * 1_000 : httpDateMs(text, nowMs);
}

function httpDateMs(text: string, nowMs: number): number | null {
  const parts = DATE_FORMS.map((form) => form.exec(text)?.groups).find((groups) => groups !== undefined);
  const month = MONTHS.indexOf(parts?.['month'] ?? '');
  if (!parts || month < 0) return null;
  const [day, hour, minute, second] = ['day', 'hour', 'minute', 'second'].map((name) => Number(parts[name]));
  const at = (year: number) => Date.UTC(year, month, day, hour, minute, second);
  const year = parts['year'] ?? '';
  return at(year.length === 4 ? Number(year) : wholeYear(Number(year), nowMs));
}

/** A year of two digits that would lie more than 50 years ahead is the last one with these digits. */
function wholeYear(year: number, nowMs: number): number {
  const thisYear = new Date(nowMs).getUTCFullYear();
  const inCentury = thisYear - (thisYear % 100) + year;
  return inCentury > thisYear + YEARS_AHEAD ? inCentury - 100 : inCentury;
}
