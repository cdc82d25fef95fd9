import { useEffect, useId, useRef, useState } from 'preact/hooks';
import { CONFIRMED_MINUTES } from '../../shared/model/people/roles.ts';
import { call } from '../api.ts';
import { useOrder } from '../common/hooks.ts';
import { PasswordField, Problem } from '../common/password-field.tsx';
import { access } from './access.ts';
import { confirming } from './confirm.ts';

/** Asks for the password again before who may is changed; the order then goes on by itself. */
export function ConfirmDialog() {
  const dialog = useRef<HTMLDialogElement>(null);
  const titleId = useId();
  const asked = confirming.value;
  useEffect(() => {
    if (asked && !dialog.current?.open) dialog.current?.showModal();
    if (!asked) dialog.current?.close();
  }, [asked]);
  return (
    <dialog
      ref={dialog}
      class="confirm-dialog access"
      data-testid="confirm"
      aria-labelledby={titleId}
      onClose={() => asked?.(false)}
    >
      <h2 id={titleId}>Confirm it is you</h2>
      {asked && <ConfirmForm confirmed={() => asked(true)} cancelled={() => asked(false)} />}
    </dialog>
  );
}

function ConfirmForm({ confirmed, cancelled }: { confirmed: () => void; cancelled: () => void }) {
  const order = useOrder();
  const [password, setPassword] = useState('');
  const confirm = async (event: Event) => {
    event.preventDefault();
    if (await order.run(() => call('confirmPassword', { body: { password } }))) confirmed();
    else setPassword('');
  };
  return (
    <form onSubmit={(event) => void confirm(event)}>
      <p>
        This changes who may do what, or shows a secret. Enter the password of{' '}
        <b>{access.value?.who?.name}</b>; it is not asked for again for {CONFIRMED_MINUTES} min.
      </p>
      <PasswordField label="your password" value={password} fresh={false} onInput={setPassword} />
      <Problem words={order.problem} />
      <span class="row">
        <button type="submit" disabled={order.busy}>
          Confirm
        </button>
        <button type="button" onClick={cancelled}>
          Cancel
        </button>
      </span>
    </form>
  );
}
