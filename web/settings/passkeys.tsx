import { useState } from 'preact/hooks';
import type { PasskeyRow } from '../../shared/wire/access.ts';
import { call } from '../api.ts';
import { TextField } from '../common/field.tsx';
import { type Order, useLoaded, useOrder } from '../common/hooks.ts';
import { Problem } from '../common/password-field.tsx';
import { momentWords } from '../common/time.ts';
import { reader, say } from '../state.ts';
import { makePasskey, passkeysWork } from './passkeys.ts';

/** Passkeys: asked for after the password, where an account has one. */
export function Passkeys() {
  const listed = useLoaded('passkeys', () => call('listPasskeys'));
  const order = useOrder();
  const remove = async ({ id, name }: PasskeyRow) => {
    if (!(await order.run(() => call('deletePasskey', { params: { id } })))) return;
    say(`The passkey "${name}" is removed.`);
    listed.reload();
  };
  return (
    <>
      <h3>Passkeys</h3>
      <p class="quiet">
        With a passkey, an account signs in with its password and then with a phone, a computer or a security
        key. Add a second one as a spare.
      </p>
      <ul class="access-list" data-testid="passkeys">
        {(listed.value?.passkeys ?? []).map((passkey) => (
          <Row key={passkey.id} passkey={passkey} order={order} remove={remove} />
        ))}
      </ul>
      <Problem words={order.problem ?? listed.problem} />
      {passkeysWork() ? (
        <NewPasskey added={listed.reload} />
      ) : (
        <p class="quiet">
          A passkey can be added where this page is opened over https by a host name, or as{' '}
          <code>http://localhost</code>.
        </p>
      )}
    </>
  );
}

type RowProps = {
  readonly passkey: PasskeyRow;
  readonly order: Order;
  readonly remove: (passkey: PasskeyRow) => Promise<void>;
};

function Row({ passkey, order, remove }: RowProps) {
  const [sure, setSure] = useState(false);
  const { name, account, host, createdAt, usedAt, own } = passkey;
  const moment = (iso: string) => momentWords({ atMs: Date.parse(iso), ...reader.value });
  const press = () => {
    if (sure) void remove(passkey);
    setSure(!sure);
  };
  return (
    <li>
      <span>
        <b>{name}</b>
        {own ? '' : ` of ${account}`}, at {host}, added {moment(createdAt)},{' '}
        {usedAt === null ? 'not used yet' : `last used ${moment(usedAt)}`}
      </span>
      <button
        type="button"
        disabled={order.busy}
        onClick={press}
        aria-label={sure ? `Remove passkey ${name} for good?` : `Remove passkey ${name}`}
      >
        {sure ? 'Remove for good?' : 'Remove'}
      </button>
    </li>
  );
}

function NewPasskey({ added }: { added: () => void }) {
  const order = useOrder();
  const [name, setName] = useState('');
  const save = async (event: Event) => {
    event.preventDefault();
    const done = await order.run(async () => {
      const { ticket, options } = await call('offerPasskey');
      const credential = await makePasskey(options);
      await call('addPasskey', { body: { ticket, name, credential } });
    });
    if (!done) return;
    setName('');
    say('Passkey added. The next sign-in asks for it.');
    added();
  };
  return (
    <details>
      <summary>Add a passkey</summary>
      <form onSubmit={(event) => void save(event)} data-testid="new-passkey">
        <TextField
          name="passkey"
          label="its name"
          value={name}
          unit=""
          placeholder="phone"
          error={undefined}
          onInput={setName}
        />
        <button type="submit" disabled={order.busy}>
          {order.busy ? 'Adding…' : 'Add'}
        </button>
        <Problem words={order.problem} />
      </form>
    </details>
  );
}
