import type { ComponentChildren } from 'preact';
import { useEffect, useRef, useState } from 'preact/hooks';
import { OWNER_NAME } from '../../shared/model/people/roles.ts';
import type { PasskeyStep } from '../../shared/wire/access.ts';
import { ApiError, call } from '../api.ts';
import { type Order, useOrder } from '../common/hooks.ts';
import { NameField, PasswordField, Problem } from '../common/password-field.tsx';
import { applyAccess } from '../settings/access.ts';
import { askPasskey } from '../settings/passkeys.ts';
import { PageFoot } from './safety.tsx';

type Step = PasskeyStep['passkey'];

/** Asks for name and password where a sign-in is needed. */
export function SignIn() {
  const order = useOrder();
  const [name, setName] = useState(OWNER_NAME);
  const [password, setPassword] = useState('');
  const [step, setStep] = useState<Step | null>(null);
  useEffect(() => {
    document.title = 'Sign in · Strikewell';
  }, []);
  const givePasskey = async (asked: Step) => {
    try {
      const credential = await askPasskey(asked.options);
      applyAccess(await call('signInWithPasskey', { body: { ticket: asked.ticket, credential } }));
    } catch (thrown) {
      // the daemon has answered, so this question is spent; one that the browser cancelled is not
      if (thrown instanceof ApiError) setStep(null);
      throw thrown;
    }
  };
  const signIn = async (event: Event) => {
    event.preventDefault();
    await order.run(async () => {
      const answer = await call('signIn', { body: { name, password } }).finally(() => setPassword(''));
      if (!('passkey' in answer)) return applyAccess(answer);
      setStep(answer.passkey);
      await givePasskey(answer.passkey);
    });
  };
  return (
    <>
      <header class="page-head">
        <span class="name">Strikewell</span>
      </header>
      <main aria-label="Sign in">
        <div class="plain-page access">
          <h1>Sign in</h1>
          {step === null ? (
            <PasswordForm order={order} signIn={(event) => void signIn(event)}>
              <NameField label="name" value={name} onInput={setName} />
              <PasswordField label="password" value={password} fresh={false} onInput={setPassword} />
            </PasswordForm>
          ) : (
            <PasskeyForm
              order={order}
              again={() => void order.run(() => givePasskey(step))}
              back={() => void order.run(async () => setStep(null))}
            />
          )}
        </div>
      </main>
      <PageFoot />
    </>
  );
}

type PasswordFormProps = {
  readonly order: Order;
  readonly signIn: (event: Event) => void;
  readonly children: ComponentChildren;
};

/** The first step: name and password. */
function PasswordForm({ order, signIn, children }: PasswordFormProps) {
  return (
    <>
      <form onSubmit={signIn} data-testid="sign-in">
        {children}
        <button type="submit" disabled={order.busy}>
          {order.busy ? 'Signing in…' : 'Sign in'}
        </button>
        <Problem words={order.problem} />
      </form>
      <p class="quiet">
        The owner adds accounts. To reset a forgotten owner password, run <code>npx strikewell owner</code> on
        the machine Strikewell runs on.
      </p>
    </>
  );
}

type PasskeyFormProps = {
  readonly order: Order;
  readonly again: () => void;
  readonly back: () => void;
};

/** The second step: the browser asks for the passkey, and may be asked again. */
function PasskeyForm({ order, again, back }: PasskeyFormProps) {
  const use = useRef<HTMLButtonElement>(null);
  useEffect(() => {
    // the field that was typed in is gone, and the focus with it
    if (!order.busy) use.current?.focus();
  }, [order.busy]);
  const submit = (event: Event) => {
    event.preventDefault();
    again();
  };
  return (
    <>
      <form onSubmit={submit} data-testid="passkey-step">
        <p role="status">The password is right. Now use your passkey.</p>
        <span class="row">
          <button type="submit" ref={use} disabled={order.busy}>
            {order.busy ? 'Waiting for the passkey…' : 'Use the passkey'}
          </button>
          <button type="button" onClick={back}>
            Back
          </button>
        </span>
        <Problem words={order.problem} />
      </form>
      <p class="quiet">
        Lost the passkey? Use a spare one, or ask an owner to remove it on the System page. For the account{' '}
        {OWNER_NAME}, run <code>npx strikewell owner --remove-passkeys</code> on the machine Strikewell runs
        on.
      </p>
    </>
  );
}
