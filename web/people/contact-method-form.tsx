import { useId, useState } from 'preact/hooks';
import type {
  ContactMethod,
  ContactMethodKind,
  NewContactMethod,
  Person,
} from '../../shared/model/people/people.ts';
import { CONTACT_METHOD_WORDS } from '../../shared/words/people.ts';
import { call } from '../api.ts';
import { FormFoot } from '../common/form-foot.tsx';
import { useOrder } from '../common/hooks.ts';
import { access } from '../settings/access.ts';
import { say } from '../state.ts';

type ContactMethodFormProps = {
  readonly person: Person;
  readonly way?: ContactMethod;
  readonly canMail: boolean;
  readonly changed: () => void;
  readonly close: () => void;
};

/** Contact methods that are one text somebody types; a browser registers itself. */
type TypedKind = Exclude<ContactMethodKind, 'push'>;
type Given = { readonly text: string; readonly own: boolean };
type Field = {
  readonly label: string;
  readonly inputMode: 'email' | 'url';
  readonly maxLength: number;
  readonly method: (given: Given) => NewContactMethod;
};

const FIELDS: Readonly<Record<TypedKind, Field>> = {
  mail: {
    label: 'address',
    inputMode: 'email',
    maxLength: 254,
    method: ({ text }) => ({ kind: 'mail', address: text }),
  },
  webhook: {
    label: 'web address',
    inputMode: 'url',
    maxLength: 2_000,
    method: ({ text, own }) => ({ kind: 'webhook', url: text, ...(own ? { ownAddresses: true } : {}) }),
  },
};
const TYPED_KINDS = Object.keys(FIELDS) as TypedKind[];

/** What was typed of a contact method; `null` for one that nobody typed. */
function typed(method: ContactMethod): { readonly kind: TypedKind; readonly text: string } | null {
  switch (method.kind) {
    case 'mail':
      return { kind: 'mail', text: method.address };
    case 'webhook':
      return { kind: 'webhook', text: method.url };
    case 'push':
      return null;
  }
}

/** An e-mail address or a webhook, new or changed. */
export function ContactMethodForm({ person, way: method, canMail, changed, close }: ContactMethodFormProps) {
  const id = useId();
  const order = useOrder();
  const before = method ? typed(method) : null;
  const [kind, setKind] = useState<TypedKind>(before?.kind ?? (canMail ? 'mail' : 'webhook'));
  const [text, setText] = useState(before?.text ?? '');
  const [own, setOwn] = useState(method?.kind === 'webhook' && method.ownAddresses === true);
  const field = FIELDS[kind];
  const submit = async (event: Event) => {
    event.preventDefault();
    const given = field.method({ text: text.trim(), own });
    const keep = () =>
      method
        ? call('changeWay', { params: { id: person.id, wayId: method.id }, body: given })
        : call('addWay', { params: { id: person.id }, body: given });
    if (!(await order.run(keep))) return;
    say(`Kept. Now test it: ${person.name} should see the message.`);
    close();
    changed();
  };
  return (
    <form class="person-form" onSubmit={submit}>
      <label for={`${id}-kind`}>by</label>
      <select
        id={`${id}-kind`}
        value={kind}
        onChange={(event) => setKind(event.currentTarget.value as TypedKind)}
      >
        {TYPED_KINDS.map((one) => (
          <option key={one} value={one}>
            {CONTACT_METHOD_WORDS[one]}
          </option>
        ))}
      </select>
      <label for={`${id}-to`}>{field.label}</label>
      <input
        id={`${id}-to`}
        type="text"
        inputMode={field.inputMode}
        required
        maxLength={field.maxLength}
        autocomplete="off"
        value={text}
        onInput={(event) => setText(event.currentTarget.value)}
      />
      {kind === 'webhook' && access.value?.closed && <OwnAddresses own={own} setOwn={setOwn} />}
      {kind === 'mail' && !canMail && (
        <p class="quiet">No mail server is set yet: nothing is sent before it is.</p>
      )}
      <FormFoot order={order} saveName="Save" close={close} />
    </form>
  );
}

/** The owner's word that a webhook may lead to the computer that Strikewell runs on. */
function OwnAddresses({ own, setOwn }: { own: boolean; setOwn: (own: boolean) => void }) {
  return (
    <>
      <label class="check">
        <input type="checkbox" checked={own} onChange={(event) => setOwn(event.currentTarget.checked)} />
        Allow this computer’s own addresses
      </label>
      <p class="quiet">
        Without it, messages to the computer that Strikewell runs on are refused. Other computers on your
        network need no permission.
      </p>
    </>
  );
}
