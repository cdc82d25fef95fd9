import { useEffect, useState } from 'preact/hooks';
import { OWNER_NAME } from '../../shared/model/roles.ts';
import type { PasskeyStep } from '../../shared/wire/access.ts';
import { heardAccess } from '../access.ts';
import { accessApi } from '../api-access.ts';
import { askPasskey } from '../passkeys.ts';
import { useOrder } from './hooks.ts';
import { NameField, PasswordField, Problem } from './password-field.tsx';
import { PageFoot } from './safety.tsx';

/** Asks who is there, where the house answers only who signs in. */
export function SignIn() {
  const order = useOrder();
  const [name, setName] = useState(OWNER_NAME);
  const [password, setPassword] = useState('');
  const [step, setStep] = useState<PasskeyStep['passkey'] | null>(null);
  useEffect(() => {
    document.title = 'Sign in · Strikewell';
  }, []);
  const signIn = async (event: Event) => {
    event.preventDefault();
    const fits = await order.run(async () => {
      const answer = await accessApi.signIn({ name, password });
      if (!('passkey' in answer)) return heardAccess(answer);
      setStep(answer.passkey);
      await givePasskey(answer.passkey);
    });
    if (!fits) setPassword('');
  };
  return (
    <>
      <header class="page-head">
        <span class="name">Strikewell</span>
      </header>
      <main aria-label="Sign in">
        <div class="plain-page access">
          <h1>Sign in</h1>
          {step !== null && <PasskeyForm step={step} problem={order.problem} back={() => setStep(null)} />}
          <form hidden={step !== null} onSubmit={(event) => void signIn(event)} data-testid="sign-in">
            <NameField label="name" value={name} onInput={setName} />
            <PasswordField label="password" value={password} fresh={false} onInput={setPassword} />
            <button type="submit" disabled={order.busy}>
              {order.busy ? 'Signing in…' : 'Sign in'}
            </button>
            <Problem words={order.problem} />
          </form>
          <p class="quiet">
            Who owns the house adds accounts. A forgotten owner password is set anew on the machine Strikewell
            runs on, with <code>npx strikewell owner</code>.
          </p>
        </div>
      </main>
      <PageFoot />
    </>
  );
}

/** Has the browser use a passkey, and signs in with it. */
async function givePasskey({ ticket, options }: PasskeyStep['passkey']): Promise<void> {
  const credential = await askPasskey(options);
  heardAccess(await accessApi.signInWithPasskey({ ticket, credential }));
}

type PasskeyFormProps = {
  readonly step: PasskeyStep['passkey'];
  /** of the first try, which the browser makes by itself */
  readonly problem: string | null;
  readonly back: () => void;
};

/** The second step: the browser asks for the passkey, and may be asked again. */
function PasskeyForm({ step, problem, back }: PasskeyFormProps) {
  const order = useOrder();
  const again = (event: Event) => {
    event.preventDefault();
    void order.run(() => givePasskey(step));
  };
  return (
    <form onSubmit={again} data-testid="passkey-step">
      <p role="status">The password is right. Now use your passkey.</p>
      <span class="row">
        <button type="submit" disabled={order.busy}>
          {order.busy ? 'Waiting for the passkey…' : 'Use the passkey'}
        </button>
        <button type="button" onClick={back}>
          Back
        </button>
      </span>
      <Problem words={order.problem ?? problem} />
    </form>
  );
}
