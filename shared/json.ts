/** What a text of JSON says; `undefined`, which no JSON is, where it cannot be read. */
export function jsonOf(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return undefined;
  }
}
