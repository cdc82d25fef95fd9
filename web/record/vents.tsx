import { useState } from 'preact/hooks';
import type { VentsAnswer, VentView } from '../../shared/wire/http.ts';
import { call, problemWords } from '../api.ts';
import { Pieces } from '../common/ask.tsx';
import { TextField } from '../common/field.tsx';
import type { Loaded } from '../common/hooks.ts';
import { IfMay } from '../common/if-may.tsx';
import { keepFocus } from '../common/keys/keep-focus.ts';
import { wallTime } from '../common/time.ts';
import { diaryRound } from '../diary/diary-api.ts';
import { may } from '../settings/access.ts';
import { nowMs, reader, secondMs, timeZone } from '../state.ts';
import { ventsWords, ventWords } from './mist-words.ts';
import { spanOf } from './span-table.tsx';
import { type VentBody, type VentValues, ventOf } from './vent-form.ts';

const MOST_VENTS = 10;

type Undo = { readonly words: string; readonly name: string; readonly run: () => Promise<unknown> };
type Diary = {
  readonly busy: boolean;
  readonly problem: string | null;
  readonly undo: Undo | null;
  log: (body: VentBody) => Promise<boolean>;
  remove: (vent: VentView & { id: number }) => Promise<boolean>;
  shut: (vent: VentView & { id: number }) => Promise<boolean>;
  takeBack: () => Promise<boolean>;
};

/** Logs vents and takes them back; the last thing done can be undone. */
function useDiary(placeId: string, changed: () => void): Diary {
  const [state, setState] = useState<Pick<Diary, 'busy' | 'problem' | 'undo'>>({
    busy: false,
    problem: null,
    undo: null,
  });
  const run = async (work: () => Promise<Undo | null>) => {
    const restoreFocus = keepFocus();
    setState((before) => ({ ...before, busy: true, problem: null }));
    try {
      const undo = await work();
      setState({ busy: false, problem: null, undo });
      diaryRound.value += 1;
      changed();
      return true;
    } catch (thrown) {
      setState((before) => ({ ...before, busy: false, problem: problemWords(thrown) }));
      return false;
    } finally {
      restoreFocus();
    }
  };
  const log = (body: VentBody) => call('logVent', { params: { id: placeId }, body });
  const remove = (ventId: number) => call('deleteVent', { params: { id: placeId, ventId } });
  const bodyOf = ({ from, to, note }: VentView): VentBody => ({ from, to, note });
  const logged = (id: number): Undo => ({
    words: 'Vent logged.',
    name: 'Take it back',
    run: () => remove(id),
  });
  return {
    ...state,
    log: (body) => run(async () => logged((await log(body)).id)),
    remove: (vent) =>
      run(async () => {
        await remove(vent.id);
        return {
          words: 'Vent deleted.',
          name: 'Log it again',
          run: () => call('restoreDiaryEntry', { params: { id: String(vent.id) } }),
        };
      }),
    shut: (vent) =>
      run(async () => {
        const { id } = await log({
          ...bodyOf(vent),
          to: new Date(secondMs.value).toISOString(),
        });
        await remove(vent.id);
        return { ...logged(id), words: 'Vent ended.' };
      }),
    takeBack: () => run(async () => state.undo?.run().then(() => null) ?? null),
  };
}

function isOwn(vent: VentView): vent is VentView & { id: number } {
  return vent.id !== null;
}

function VentList({ answer, diary }: { answer: VentsAnswer; diary: Diary }) {
  const { placeId, vents } = answer;
  const shown = vents
    .map((vent, index) => ({ vent, index }))
    .slice(-MOST_VENTS)
    .reverse();
  const more = vents.length - shown.length;
  return (
    <ul class="vents">
      {shown.map(({ vent, index }) => (
        <li key={`${vent.from} ${vent.id}`}>
          <Pieces
            placeId={placeId}
            span={spanOf(answer)}
            answer="vents"
            of={ventWords({ vent, index }, reader.value)}
          />
          {isOwn(vent) && may('deleteVent') && (
            <span class="row">
              {vent.to === null && (
                <button type="button" disabled={diary.busy} onClick={() => void diary.shut(vent)}>
                  Shut now
                </button>
              )}
              <button type="button" disabled={diary.busy} onClick={() => void diary.remove(vent)}>
                Delete
              </button>
            </span>
          )}
        </li>
      ))}
      {more > 0 && <li class="quiet">and {more} earlier in this span</li>}
    </ul>
  );
}

function emptyVent(): VentValues {
  const atMs = nowMs.value;
  return { when: 'now', from: wallTime({ atMs, timeZone: timeZone.value }), to: '', note: '' };
}

function VentForm({ diary }: { diary: Diary }) {
  const [values, setValues] = useState<VentValues>(emptyVent);
  const [errors, setErrors] = useState<Readonly<Record<string, string>>>({});
  const set = (change: Partial<VentValues>) => setValues((before) => ({ ...before, ...change }));
  const submit = async (event: Event) => {
    event.preventDefault();
    const read = ventOf(values, { nowMs: secondMs.value, timeZone: timeZone.value });
    setErrors(read.errors ?? {});
    if (read.body && (await diary.log(read.body))) setValues(emptyVent());
  };
  const choice = (when: VentValues['when'], words: string) => (
    <label>
      <input type="radio" name="vent-when" checked={values.when === when} onChange={() => set({ when })} />
      {words}
    </label>
  );
  return (
    <form class="vent-form" onSubmit={submit} noValidate>
      <fieldset class="units">
        <legend class="unseen">When the cover was opened</legend>
        {choice('now', 'opened just now')}
        {choice('span', 'opened earlier')}
      </fieldset>
      {values.when === 'span' && (
        <>
          <TextField
            name="vent-from"
            label="opened"
            type="datetime-local"
            value={values.from}
            unit=""
            error={errors['from']}
            onInput={(from) => set({ from })}
          />
          <TextField
            name="vent-to"
            label="shut"
            type="datetime-local"
            value={values.to}
            unit=""
            hint="empty: not shut yet"
            required={false}
            error={errors['to']}
            onInput={(to) => set({ to })}
          />
        </>
      )}
      <TextField
        name="vent-note"
        label="note"
        value={values.note}
        unit=""
        placeholder="e.g. an hour to dry off"
        inputMode="text"
        required={false}
        error={undefined}
        onInput={(note) => set({ note: note.slice(0, 200) })}
      />
      <button type="submit" disabled={diary.busy}>
        Log this vent
      </button>
    </form>
  );
}

/** Vents of a span, recognised and logged, with a form to log one by hand and a way back. */
export function VentsPart({
  placeId,
  loaded,
}: {
  placeId: string;
  loaded: Loaded<VentsAnswer> & { reload: () => void };
}) {
  const diary = useDiary(placeId, loaded.reload);
  const { value, problem } = loaded;
  return (
    <>
      {problem && <p class="problem">The vents cannot be loaded now: {problem}</p>}
      {!value && !problem && <p class="quiet">Looking for vents…</p>}
      {value && (
        <p>
          <Pieces placeId={placeId} span={spanOf(value)} answer="vents" of={ventsWords(value)} />
        </p>
      )}
      {value && value.vents.length > 0 && <VentList answer={value} diary={diary} />}
      <div role="status">
        {diary.problem && <p class="problem">{diary.problem}</p>}
        {diary.undo && (
          <p class="row">
            {diary.undo.words}
            <button type="button" disabled={diary.busy} onClick={() => void diary.takeBack()}>
              {diary.undo.name}
            </button>
          </p>
        )}
      </div>
      <IfMay route="logVent">
        <details>
          <summary>Log a vent by hand</summary>
          <VentForm diary={diary} />
        </details>
      </IfMay>
    </>
  );
}
