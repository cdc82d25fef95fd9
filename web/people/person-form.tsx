import { useId, useState } from 'preact/hooks';
import type { Quiet } from '../../shared/model/people/people.ts';
import { FormFoot } from '../common/form-foot.tsx';
import type { Order } from '../common/hooks.ts';

type PersonFormProps = {
  readonly order: Order;
  readonly name: string;
  readonly person?: { readonly name: string; readonly quiet: Quiet | null };
  readonly onSave: (person: { name: string; quiet: Quiet | null }) => Promise<void>;
  readonly close: () => void;
};

/** Name and quiet hours of somebody. */
export function PersonForm({ order, name: saveName, person, onSave, close }: PersonFormProps) {
  const id = useId();
  const [name, setName] = useState(person?.name ?? '');
  const [sleeps, setSleeps] = useState((person?.quiet ?? null) !== null);
  const [quiet, setQuiet] = useState<Quiet>(person?.quiet ?? { from: '22:00', to: '06:30' });
  const submit = (event: Event) => {
    event.preventDefault();
    void onSave({ name: name.trim(), quiet: sleeps ? quiet : null });
  };
  return (
    <form class="person-form" onSubmit={submit}>
      <label for={`${id}-name`}>name</label>
      <input
        id={`${id}-name`}
        required
        maxLength={80}
        autocomplete="off"
        value={name}
        onInput={(event) => setName(event.currentTarget.value)}
      />
      <label class="check">
        <input
          type="checkbox"
          checked={sleeps}
          onChange={(event) => setSleeps(event.currentTarget.checked)}
        />
        has quiet hours
      </label>
      {sleeps && (
        <>
          <label for={`${id}-from`}>quiet from</label>
          <input
            id={`${id}-from`}
            type="time"
            required
            value={quiet.from}
            onInput={(event) => setQuiet({ ...quiet, from: event.currentTarget.value })}
          />
          <label for={`${id}-to`}>until</label>
          <input
            id={`${id}-to`}
            type="time"
            required
            value={quiet.to}
            onInput={(event) => setQuiet({ ...quiet, to: event.currentTarget.value })}
          />
          <p class="quiet">High-priority alarms are sent in quiet hours too.</p>
        </>
      )}
      <FormFoot order={order} saveName={saveName} close={close} />
    </form>
  );
}
