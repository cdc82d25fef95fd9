import { useState } from 'preact/hooks';
import { valueAtPointer } from '../../shared/json-pointer.ts';
import type {
  CapturedMessage,
  MappableProbe,
  MappingView,
} from '../../shared/wire/probes/foreign-messages.ts';
import { call } from '../api.ts';
import { FormFoot } from '../common/form-foot.tsx';
import { useLoaded, useOrder, useSettled } from '../common/hooks.ts';
import { withLocalTimes } from '../common/time.ts';
import { nowMs, say, timeZone } from '../state.ts';
import { ListenSection } from './listen.tsx';
import { MappedValueFields } from './mapped-value.tsx';
import {
  draftOf,
  guessedTime,
  joinedProbes,
  type MappingDraft,
  mappingOfDraft,
  NEW_DRAFT,
  proposedValue,
  readAsOf,
  treeOf,
  withPicked,
} from './mapping-form.ts';
import { WhereSection } from './mapping-where.tsx';
import { MessageTree } from './message-tree.tsx';

type EditorProps = {
  readonly mapping: MappingView | null;
  readonly probes: readonly MappableProbe[];
  readonly close: () => void;
  readonly saved: () => void;
};
type PartProps = {
  readonly draft: MappingDraft;
  readonly set: (change: Partial<MappingDraft>) => void;
  readonly probes: readonly MappableProbe[];
  readonly picked: CapturedMessage | null;
};

function ContentSection({ draft, set, probes, picked }: PartProps) {
  const [use, setUse] = useState<'reading' | 'time'>('reading');
  const pick = (pointer: string) => {
    if (use === 'time') {
      const at = picked === null ? null : valueAtPointer(picked.json, pointer);
      set({ time: { kind: 'pointer', pointer, as: guessedTime(at?.found ? at.value : '') } });
      setUse('reading');
      return;
    }
    if (draft.values.some((value) => value.pointer === pointer)) return;
    set({ values: [...draft.values, proposedValue(pointer, draft.values)] });
  };
  const wordsOf = (name: string) => probes.find(({ probe }) => probe === name)?.words;
  return (
    <section>
      <h2>2. Say what is in it</h2>
      {picked === null && draft.values.length === 0 && (
        <p class="quiet">Pick a message above; then tap in it what is to be read.</p>
      )}
      {picked !== null && picked.json === null && (
        <p class="problem">This message is neither JSON nor a number: it cannot be read.</p>
      )}
      {picked !== null && picked.json !== null && (
        <>
          <fieldset class="units">
            <legend>A tap chooses</legend>
            {(['reading', 'time'] as const).map((kind) => (
              <label key={kind}>
                <input type="radio" name="tap" checked={use === kind} onChange={() => setUse(kind)} />
                {kind === 'reading' ? 'a reading' : 'the time'}
              </label>
            ))}
          </fieldset>
          <MessageTree
            node={treeOf(picked.json)}
            use={use === 'reading' ? 'read' : 'take as the time'}
            readAs={readAsOf(draft, wordsOf)}
            onPick={pick}
          />
        </>
      )}
      <ol class="mapped-values">
        {draft.values.map((value, index) => (
          <MappedValueFields
            key={index}
            value={value}
            probes={probes}
            onChange={(changed) => set({ values: draft.values.with(index, changed) })}
            remove={() => set({ values: draft.values.toSpliced(index, 1) })}
          />
        ))}
      </ol>
    </section>
  );
}

function TryOut({ draft, picked, isNew }: Pick<PartProps, 'draft' | 'picked'> & { readonly isNew: boolean }) {
  const settled = useSettled(draft, JSON.stringify(draft), 300);
  const key = `${picked?.id ?? 0} ${JSON.stringify(settled)}`;
  const isReady = picked !== null && settled.values.length > 0;
  const { value, problem } = useLoaded(`try ${key}`, async () =>
    isReady ? call('tryMapping', { body: { mapping: mappingOfDraft(settled), heard: picked.id } }) : null,
  );
  const known = useLoaded('probes', () => call('listProbes'));
  const joined = isNew ? joinedProbes(settled, value?.verdict.device ?? null, known.value?.probes ?? []) : [];
  return (
    <section class="try-out" data-testid="try-out">
      <h2>4. What would be stored of it</h2>
      {!isReady && (
        <p class="quiet">Pick a message and tap a value to see it here. Nothing is stored by looking.</p>
      )}
      {isReady && problem && (
        <p class="problem" role="status">
          {problem}
        </p>
      )}
      {isReady && !problem && value && (
        <pre role="status">
          {withLocalTimes(value.verdict.lines.join('\n'), { nowMs: nowMs.value, timeZone: timeZone.value })}
        </pre>
      )}
      {isReady && joined.length > 0 && (
        <p data-testid="joined">
          {joined.join(' and ')} {joined.length === 1 ? 'is' : 'are'} there already: these readings join its
          earlier ones, and its place stays. If it is another sensor, give it a number or another device’s
          name.
        </p>
      )}
    </section>
  );
}

/** Makes or changes how a topic is read, against a message that was received. */
export function MappingEditor({ mapping, probes, close, saved }: EditorProps) {
  const order = useOrder();
  const names = probes.map(({ probe }) => probe);
  const [draft, setDraft] = useState(mapping === null ? NEW_DRAFT : draftOf(mapping, names));
  const [picked, setPicked] = useState<CapturedMessage | null>(null);
  const set = (change: Partial<MappingDraft>) => setDraft((before) => ({ ...before, ...change }));
  const pick = (message: CapturedMessage) => {
    setPicked(message);
    setDraft((before) => withPicked(before, message.topic));
  };
  const save = async (event: Event) => {
    event.preventDefault();
    const given = mappingOfDraft(draft);
    const keep = () =>
      mapping === null
        ? call('addMapping', { body: given })
        : call('changeMapping', { params: { id: mapping.id }, body: given });
    if (!(await order.run(keep))) return;
    say(`${given.filter} is read from now on.`);
    saved();
  };
  const part = { draft, set, probes, picked };
  return (
    <form class="editor" onSubmit={(event) => void save(event)} data-testid="mapping-editor">
      <ListenSection
        filter={draft.filter}
        onFilter={(filter) => set({ filter })}
        picked={picked}
        onPick={pick}
      />
      <ContentSection {...part} />
      <WhereSection draft={draft} set={set} topic={picked?.topic ?? draft.filter} />
      <TryOut draft={draft} picked={picked} isNew={mapping === null} />
      <FormFoot order={order} saveName="Read it from now on" close={close} />
    </form>
  );
}
