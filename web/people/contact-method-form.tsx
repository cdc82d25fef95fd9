import { useId, useState } from 'preact/hooks';
import type { ContactMethod, NewContactMethod, Person } from '../../shared/model/people/people.ts';
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

/** An e-mail address or a webhook, new or changed. */
export function ContactMethodForm({ person, way: method, canMail, changed, close }: ContactMethodFormProps) {
  const id = useId();
  const order = useOrder();
  const [kind, setKind] = useState<'mail' | 'webhook'>(
    method?.kind === 'webhook' || !canMail ? 'webhook' : 'mail',
  );
  const [text, setText] = useState(
    method?.kind === 'mail' ? method.address : method?.kind === 'webhook' ? method.url : '',
  );
  const [own, setOwn] = useState(method?.kind === 'webhook' && method.ownAddresses === true);
  const isMail = kind === 'mail';
  const submit = async (event: Event) => {
    event.preventDefault();
    const given: NewContactMethod = isMail
      ? { kind, address: text.trim() }
      : webhookOf({ url: text.trim(), own });
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
        onChange={(event) => setKind(event.currentTarget.value === 'mail' ? 'mail' : 'webhook')}
      >
        <option value="mail">e-mail</option>
        <option value="webhook">webhook</option>
      </select>
      <label for={`${id}-to`}>{isMail ? 'address' : 'web address'}</label>
      <input
        id={`${id}-to`}
        type="text"
        inputMode={isMail ? 'email' : 'url'}
        required
        maxLength={isMail ? 254 : 2_000}
        autocomplete="off"
        value={text}
        onInput={(event) => setText(event.currentTarget.value)}
      />
      {!isMail && access.value?.closed && <OwnAddresses own={own} setOwn={setOwn} />}
      {isMail && !canMail && <p class="quiet">No mail server is set yet: nothing is sent before it is.</p>}
      <FormFoot order={order} saveName="Save" close={close} />
    </form>
  );
}

function webhookOf({ url, own }: { url: string; own: boolean }): NewContactMethod {
  return own ? { kind: 'webhook', url, ownAddresses: true } : { kind: 'webhook', url };
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
