/** How much of a payload is shown, in characters. */
const SHOWN_CHARS = 400;
const BYTES_A_CHAR = 4;

/**
 * The first part of a payload as text that can be shown anywhere: what cannot be seen, or turns text around, is escaped.
 * @returns the text, and whether it is the whole payload
 */
export function payloadStart(payload: Uint8Array): { readonly start: string; readonly whole: boolean } {
  const text = new TextDecoder().decode(payload.subarray(0, SHOWN_CHARS * BYTES_A_CHAR));
  return {
    start: visibleText(text, SHOWN_CHARS),
    whole: text.length <= SHOWN_CHARS && payload.byteLength <= SHOWN_CHARS * BYTES_A_CHAR,
  };
}

/** The first so many characters of a text as they can be shown anywhere. */
export function visibleText(text: string, maxChars: number): string {
  return [...text.slice(0, maxChars)].map(visible).join('');
}

/** Line breaks and tabs stay; other controls, formatting marks and unpaired halves become \u escapes. */
function visible(character: string): string {
  if (/[\n\t]/.test(character) || !/[\p{Cc}\p{Cf}\p{Cs}\p{Co}\p{Zl}\p{Zp}]/u.test(character))
    return character;
  return Array.from({ length: character.length }, (_, at) => {
    return `\\u${character.charCodeAt(at).toString(16).padStart(4, '0')}`;
  }).join('');
}
