/** Text as HTML shows it, whatever is in it. */
export function escaped(text: string): string {
  return text.replace(/[&<>"']/g, (sign) => `&#${sign.charCodeAt(0)};`);
}

/** A sentence as HTML shows it: no line ends between a number and its unit, nor within "e-mail". */
export function sentence(text: string): string {
  return escaped(text).replace(
    /\d[\d.]* (?:°[CF]|%RH|(?:kPa|min|h|s|d)(?!\w))|e-mail/g,
    (whole) => `<span class="whole">${whole}</span>`,
  );
}
