/** Signs that the fonts every reader of PDF has do not hold, and what stands for them. @source [PDF] annex D, WinAnsiEncoding */
const INSTEAD: Readonly<Record<string, string>> = {
  '\u2212': '-',
  '\u00a0': ' ',
  '\u202f': ' ',
  '\u2009': ' ',
  '⁻': '-',
  '⁶': '6',
  '≤': 'at most ',
  '≥': 'at least ',
};
/** Signs of WinAnsiEncoding beyond Latin-1. */
const BEYOND_LATIN = '€‚ƒ„…†‡ˆ‰Š‹ŒŽ‘’“”•–—˜™š›œžŸ';

/** Text as the fonts of every reader hold it: letters lose marks they have not, what is left over is a question mark. */
export function inWinAnsi(words: string): string {
  return [...words.normalize('NFC')].map(signFor).join('');
}

function signFor(sign: string): string {
  const stated = INSTEAD[sign];
  if (stated !== undefined) return stated;
  if (isHeld(sign)) return sign;
  const [bare = ''] = sign.normalize('NFD');
  return isHeld(bare) ? bare : '?';
}

function isHeld(sign: string): boolean {
  const code = sign.codePointAt(0) ?? 0;
  return (code >= 0x20 && code <= 0x7e) || (code >= 0xa1 && code <= 0xff) || BEYOND_LATIN.includes(sign);
}
