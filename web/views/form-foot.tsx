import type { Order } from './hooks.ts';

type FormFootProps = { readonly order: Order; readonly saveName: string; readonly close: () => void };

/** How a small form ends: save it or leave it, and what stood against saving. */
export function FormFoot({ order, saveName, close }: FormFootProps) {
  return (
    <>
      <span class="row">
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
