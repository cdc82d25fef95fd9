/** For so long after an order what it changed may still take the focus away with it, ms. */
const WATCHED_MS = 3_000;

/** An element and what it lies in, from the inside out, as far as its part of the page. */
function chainOf(element: HTMLElement): HTMLElement[] {
  const chain: HTMLElement[] = [];
  for (let at: HTMLElement | null = element; at; at = at.parentElement) {
    chain.push(at);
    if (at.matches('main, dialog, header, footer')) return chain;
  }
  return [element];
}

function focusNear(chain: readonly HTMLElement[]): void {
  for (const element of chain) {
    if (!element.isConnected) continue;
    element.focus({ preventScroll: true });
    if (document.activeElement === element) return;
    // what is no control takes the focus only when told that it may
    element.tabIndex = -1;
    element.focus({ preventScroll: true });
    if (document.activeElement === element) return;
  }
}

/**
 * Remembers where the keyboard is before an order; once that was carried out, and what was pressed is disabled or gone,
 * the focus goes to what is left of its surroundings, and not to the top of the page.
 * @returns to be called when the order is over
 */
export function keepFocus(): () => void {
  const from = document.activeElement;
  if (!(from instanceof HTMLElement) || from === document.body) return () => undefined;
  const chain = chainOf(from);
  return () => {
    const hold = () => {
      if (document.activeElement === document.body) focusNear(chain);
    };
    // a button that waits is enabled again before its surroundings are tried
    setTimeout(hold);
    const observer = new MutationObserver(() => setTimeout(hold));
    observer.observe(document.body, { childList: true, subtree: true });
    setTimeout(() => observer.disconnect(), WATCHED_MS);
  };
}
