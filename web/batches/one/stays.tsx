import { useState } from 'preact/hooks';
import type { StayView } from '../../../shared/wire/cuttings/batches.ts';
import { call } from '../../api.ts';
import { ChoiceField, TextField } from '../../common/field.tsx';
import { IfMay } from '../../common/if-may.tsx';
import { instantOfWall, wallTime } from '../../common/time.ts';
import { may } from '../../settings/access.ts';
import { known, nowMs, reader, secondMs, timeZone } from '../../state.ts';
import { spanWords } from '../words.ts';
import type { PartProps } from './part.ts';

/** The name of a place that may be gone. */
export function placeName(placeId: string | null): string {
  if (placeId === null) return 'a place that was removed';
  return known.value.places.find(({ id }) => id === placeId)?.name ?? placeId;
}

/** Where it stood, and how it is moved. */
export function StaysSection({ batch, edits }: PartProps) {
  return (
    <section data-testid="stays">
      <h2>Where it stood</h2>
      <p class="quiet">What it went through is the sum over the places where it stood.</p>
      <ul class="stays">
        {batch.stays.map((stay) => (
          <Stay key={stay.n} stay={stay} batch={batch} edits={edits} />
        ))}
      </ul>
      <IfMay route="moveBatch">
        {batch.state === 'open' && known.value.places.length > 1 && (
          <details>
            <summary>Move it</summary>
            <MoveForm batch={batch} edits={edits} />
          </details>
        )}
      </IfMay>
    </section>
  );
}

function Stay({ stay, batch, edits }: PartProps & { stay: StayView }) {
  const { n, placeId, from, to } = stay;
  const remove = () =>
    edits.run(async () => {
      const params = { id: batch.id };
      await call('deleteBatchMove', { params: { ...params, n } });
      const again = () => call('moveBatch', { params, body: { placeId: placeId ?? '', from } });
      return { words: `Move to ${placeName(placeId)} deleted.`, run: again };
    });
  return (
    <li>
      {placeName(placeId)}, {spanWords({ from, to }, batch, reader.value)}{' '}
      {n > 0 && placeId !== null && may('deleteBatchMove') && (
        <button
          type="button"
          disabled={edits.busy}
          aria-label={`Delete the move to ${placeName(placeId)}`}
          onClick={() => void remove()}
        >
          Delete
        </button>
      )}
    </li>
  );
}

const POSITION_HINT = 'Row and column, such as B3 or B3–C5, are drawn as a plan; any words will do.';

function MoveForm({ batch, edits }: PartProps) {
  const others = known.value.places.filter(({ id }) => id !== batch.placeId);
  const [placeId, setPlaceId] = useState(others[0]?.id ?? '');
  const [from, setFrom] = useState(() => wallTime({ atMs: nowMs.value, timeZone: timeZone.value }));
  const [position, setPosition] = useState('');
  const [error, setError] = useState<string | undefined>(undefined);
  const submit = async (event: Event) => {
    event.preventDefault();
    const atMs = instantOfWall({ wall: from, timeZone: timeZone.value });
    if (atMs === null) return setError('when was it moved?');
    if (atMs > secondMs.value) return setError('that is still to come');
    setError(undefined);
    const params = { id: batch.id };
    const body = { placeId, from: new Date(atMs).toISOString() };
    await edits.run(async () => {
      const { stays } = await call('moveBatch', { params, body });
      // where it stood on the bench before says nothing of this one
      const there = position.trim() || null;
      const isOther = there !== batch.position;
      if (isOther) await call('changeBatch', { params, body: { position: there } });
      const n = stays.find((one) => one.placeId === placeId && Date.parse(one.from) === atMs)?.n;
      if (n === undefined) return null;
      const undo = async () => {
        await call('deleteBatchMove', { params: { ...params, n } });
        if (isOther) await call('changeBatch', { params, body: { position: batch.position } });
      };
      return { words: `Moved to ${placeName(placeId)}.`, run: undo };
    });
  };
  return (
    <form class="batch-form" noValidate onSubmit={(event) => void submit(event)}>
      <ChoiceField
        name="move-to"
        label="to"
        value={placeId}
        choices={others.map(({ id, name }) => ({ value: id, words: name }))}
        onChange={setPlaceId}
      />
      <TextField
        name="move-from"
        label="moved"
        type="datetime-local"
        value={from}
        unit=""
        error={error}
        onInput={setFrom}
      />
      <TextField
        name="move-position"
        label="position there"
        value={position}
        unit=""
        hint={POSITION_HINT}
        required={false}
        error={undefined}
        onInput={(typed) => setPosition(typed.slice(0, 80))}
      />
      <button type="submit" class="first" disabled={edits.busy}>
        Move
      </button>
    </form>
  );
}
