import { useEffect, useRef } from 'preact/hooks';
import type { Order } from './hooks.ts';

type FormFootProps = { readonly order: Order; readonly saveName: string; readonly close: () => void };

/** How a small form ends: save or cancel, and why it could not be saved. */
export function FormFoot({ order, saveName, close }: FormFootProps) {
  const row = useRef<HTMLSpanElement>(null);
  useEffect(() => {
    // the button that opened the form is gone, and the focus with it: it goes on at the first field
    if (document.activeElement !== document.body) return;
    const form = row.current?.closest('form');
    form?.querySelector<HTMLElement>('input, select, textarea')?.focus({ preventScroll: true });
  }, []);
  return (
    <>
      <span class="row" ref={row}>
        <button type="submit" disabled={order.busy}>
          {saveName}
        </button>
        <button type="button" onClick={close}>
          Leave it
        </button>
      </span>
      {order.problem && (
        <p class="problem" role="status">
          {order.problem}
        </p>
      )}
    </>
  );
}
