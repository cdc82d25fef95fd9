import { useEffect, useState } from 'preact/hooks';
import { OWNER_NAME } from '../../shared/model/roles.ts';
import { heardAccess } from '../access.ts';
import { accessApi } from '../api-access.ts';
import { useOrder } from './hooks.ts';
import { NameField, PasswordField, Problem } from './password-field.tsx';
import { PageFoot } from './safety.tsx';

/** Asks who is there, where the house answers only who signs in. */
export function SignIn() {
  const order = useOrder();
  const [name, setName] = useState(OWNER_NAME);
  const [password, setPassword] = useState('');
  useEffect(() => {
    document.title = 'Sign in · Strikewell';
  }, []);
  const signIn = async (event: Event) => {
    event.preventDefault();
    const fits = await order.run(async () => heardAccess(await accessApi.signIn({ name, password })));
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
          <form onSubmit={(event) => void signIn(event)} data-testid="sign-in">
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
