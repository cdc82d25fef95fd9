import { useState } from 'preact/hooks';
import type { MappingsAnswer, MappingView } from '../../shared/wire/probes/foreign-messages.ts';
import { call } from '../api.ts';
import { useLoaded, useOrder } from '../common/hooks.ts';
import { momentWords } from '../common/time.ts';
import { Removal } from '../people/person.tsx';
import { known, nowMs, reader, say } from '../state.ts';
import { MappingEditor } from './mapping-editor.tsx';

const RENEW_MS = 20_000;

function lastWords({ lastAt, lastCode, lastTopic }: MappingView): string {
  if (lastAt === null) {
    const isOurs = known.value.house?.broker.embedded !== false;
    return isOurs
      ? 'No message yet'
      : 'No message yet; your broker must let Strikewell subscribe to this topic';
  }
  const at = momentWords({ atMs: Date.parse(lastAt), ...reader.value });
  return `Last message ${at} on ${lastTopic}, ${lastCode === null ? 'taken' : `refused: ${lastCode}`}`;
}

function valuesWords({ values, placeId, device }: MappingView): string {
  const from = device.kind === 'named' ? `as ${device.name}` : `named by level ${device.level} of the topic`;
  const place = known.value.places.find(({ id }) => id === placeId)?.name;
  return `${values.map(({ probe }) => probe).join(', ')}, ${from}${place ? `, at ${place}` : ''}`;
}

type RowProps = { readonly mapping: MappingView; readonly changed: () => void; readonly edit: () => void };

function MappingRow({ mapping, changed, edit }: RowProps) {
  const order = useOrder();
  const { id, filter, stored, refused, lastCode } = mapping;
  const remove = async () => {
    if (!(await order.run(() => call('deleteMapping', { params: { id } })))) return;
    say(`${filter} is read no more.`);
    changed();
  };
  return (
    <li class={lastCode === null ? '' : 'refused'} data-testid="mapping">
      <p>
        <b class="breakable">{filter}</b>
      </p>
      <p class="breakable">{valuesWords(mapping)}</p>
      <p class="quiet breakable">
        {lastWords(mapping)}. {stored} {stored === 1 ? 'reading' : 'readings'} stored, {refused}{' '}
        {refused === 1 ? 'message' : 'messages'} <a href="#/probes">refused</a>.
      </p>
      <span class="row">
        <button type="button" onClick={edit}>
          Change…<span class="unseen"> {filter}</span>
        </button>
        <Removal what={filter} busy={order.busy} remove={() => void remove()} />
      </span>
      {order.problem && (
        <p class="problem" role="status">
          {order.problem}
        </p>
      )}
    </li>
  );
}

type ListProps = { readonly answer: MappingsAnswer; readonly changed: () => void };

function MappingList({ answer, changed }: ListProps) {
  const [editing, setEditing] = useState<number | 'new' | null>(null);
  const { mappings, probes, since } = answer;
  const edited = mappings.find(({ id }) => id === editing) ?? null;
  const close = () => setEditing(null);
  const saved = () => {
    close();
    changed();
  };
  if (editing === 'new' || edited !== null) {
    return <MappingEditor key={editing} mapping={edited} probes={probes} close={close} saved={saved} />;
  }
  return (
    <>
      {mappings.length === 0 && <p>No other topic is read yet.</p>}
      {mappings.length > 0 && (
        <>
          <ol class="mappings">
            {mappings.map((mapping) => (
              <MappingRow
                key={mapping.id}
                mapping={mapping}
                changed={changed}
                edit={() => setEditing(mapping.id)}
              />
            ))}
          </ol>
          <p class="quiet">
            Counted since Strikewell started, {momentWords({ atMs: Date.parse(since), ...reader.value })}.
            What is stored stays when a topic is read no more.
          </p>
        </>
      )}
      <div>
        <button type="button" class={mappings.length === 0 ? 'first' : ''} onClick={() => setEditing('new')}>
          Read another topic…
        </button>
      </div>
    </>
  );
}

/** Devices that send in a form of their own: which topics are read, and how. */
export function OtherMessages() {
  const round = Math.floor(nowMs.value / RENEW_MS);
  const { received, refused } = known.value.house?.readings ?? { received: 0, refused: 0 };
  const { value, problem, loading, reload } = useLoaded(`mappings ${round} ${received} ${refused}`, () =>
    call('listMappings'),
  );
  return (
    <div class="plain-page">
      <h1>Other topics</h1>
      <p class="say">
        A device that sends JSON or bare numbers on a topic of its own is read once you have said where in its
        messages each value stands. What is read so is stored, watched and shown like any reading; a message
        that does not fit is refused and listed on the page <a href="#/probes">Probes</a>.
      </p>
      {problem && (
        <p class="problem" role="status">
          {problem}
        </p>
      )}
      {!value && loading && <p class="waiting">Loading topics…</p>}
      {value && <MappingList answer={value} changed={reload} />}
    </div>
  );
}
