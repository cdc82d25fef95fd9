import { useState } from 'preact/hooks';
import { ROLES, type Role } from '../../shared/model/people/roles.ts';
import type { Account } from '../../shared/wire/access.ts';
import { call } from '../api.ts';
import { ChoiceField } from '../common/field.tsx';
import { type Order, useLoaded, useOrder } from '../common/hooks.ts';
import { NameField, PasswordField, Problem } from '../common/password-field.tsx';
import { say } from '../state.ts';
import { access } from './access.ts';

const WORDS: Readonly<Record<Role, string>> = {
  look: 'look: sees everything',
  tend: 'tend: also acknowledges, shelves, logs vents',
  own: 'own: everything',
};
const CHOICES = ROLES.map((role) => ({ value: role, words: WORDS[role] }));

function roleOf(value: string): Role {
  return ROLES.find((role) => role === value) ?? 'look';
}

/** The accounts of the installation: who they are, what they may, and a way to add one. */
export function Accounts() {
  const loaded = useLoaded('accounts', () => call('listAccounts'));
  const order = useOrder();
  const then = async (work: () => Promise<unknown>, words: string) => {
    if (!(await order.run(work))) return false;
    say(words);
    loaded.reload();
    return true;
  };
  return (
    <>
      <h3>Accounts</h3>
      <ul class="access-list" data-testid="accounts">
        {(loaded.value?.accounts ?? []).map((account) => (
          <AccountRow key={account.id} account={account} order={order} then={then} />
        ))}
      </ul>
      <Problem words={order.problem ?? loaded.problem} />
      <NewAccount busy={order.busy} then={then} />
    </>
  );
}

type Then = (work: () => Promise<unknown>, words: string) => Promise<boolean>;

function AccountRow({ account, order, then }: { account: Account; order: Order; then: Then }) {
  const [sure, setSure] = useState(false);
  const { id, name, role } = account;
  const give = (value: string) =>
    void then(
      () => call('changeAccount', { params: { id }, body: { role: roleOf(value) } }),
      `${name} may now ${value}.`,
    );
  const remove = () => {
    if (sure) void then(() => call('deleteAccount', { params: { id } }), `${name} is removed.`);
    setSure(!sure);
  };
  if (name === access.value?.who?.name) {
    return (
      <li>
        <span>
          <b>{name}</b>, {WORDS[role]} (you)
        </span>
      </li>
    );
  }
  return (
    <li>
      <ChoiceField name={`role-${id}`} label={name} value={role} choices={CHOICES} onChange={give} />
      <button type="button" disabled={order.busy} onClick={remove} aria-label={`Remove ${name}`}>
        {sure ? 'Remove for good?' : 'Remove'}
      </button>
    </li>
  );
}

function NewAccount({ busy, then }: { busy: boolean; then: Then }) {
  const [name, setName] = useState('');
  const [role, setRole] = useState<Role>('tend');
  const [password, setPassword] = useState('');
  const save = async (event: Event) => {
    event.preventDefault();
    const add = () => call('addAccount', { body: { name, role, password } });
    if (!(await then(add, `${name} may now sign in.`))) return;
    setName('');
    setPassword('');
  };
  return (
    <details>
      <summary>Add an account</summary>
      <form onSubmit={(event) => void save(event)} data-testid="new-account">
        <NameField label="name" value={name} onInput={setName} />
        <ChoiceField
          name="new-role"
          label="may"
          value={role}
          choices={CHOICES}
          onChange={(value) => setRole(roleOf(value))}
        />
        <PasswordField label="password" value={password} fresh account={name} onInput={setPassword} />
        <button type="submit" disabled={busy}>
          Add it
        </button>
      </form>
    </details>
  );
}
