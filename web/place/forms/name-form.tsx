import { useId, useState } from 'preact/hooks';
import type { PlaceKind } from '../../../shared/model/place.ts';
import type { PlaceSummary } from '../../../shared/wire/http.ts';
import { call } from '../../api.ts';
import { useOrder } from '../../common/hooks.ts';
import { say } from '../../state.ts';

const KINDS: readonly PlaceKind[] = ['bench', 'case', 'dome', 'frame', 'unstated'];

/** Gives a place its name and says what the cuttings stand in. */
export function NameForm({ place }: { place: PlaceSummary }) {
  const id = useId();
  const order = useOrder();
  const [name, setName] = useState(place.name);
  const [kind, setKind] = useState<PlaceKind>(place.kind);
  const save = async (event: Event) => {
    event.preventDefault();
    const body = { name: name.trim(), kind };
    if (await order.run(() => call('changePlace', { params: { id: place.id }, body }))) say('Name saved.');
  };
  return (
    <details class="name-form">
      <summary>Name and kind</summary>
      <form onSubmit={save}>
        <label for={`${id}-name`}>name</label>
        <input
          id={`${id}-name`}
          required
          maxLength={80}
          value={name}
          onInput={(event) => setName(event.currentTarget.value)}
        />
        <label for={`${id}-kind`}>kind</label>
        <select
          id={`${id}-kind`}
          value={kind}
          onChange={(event) =>
            setKind(KINDS.find((known) => known === event.currentTarget.value) ?? 'unstated')
          }
        >
          {KINDS.map((choice) => (
            <option key={choice} value={choice}>
              {choice}
            </option>
          ))}
        </select>
        <span class="row">
          <button type="submit" disabled={order.busy}>
            Save
          </button>
        </span>
        {order.problem && (
          <p class="problem" role="status">
            {order.problem}
          </p>
        )}
      </form>
    </details>
  );
}
