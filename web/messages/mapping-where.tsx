import { ChoiceField, TextField } from '../common/field.tsx';
import { known } from '../state.ts';
import { levelsOf, type MappingDraft } from './mapping-form.ts';

const TIME_FORMS = [
  { value: 'rfc3339', words: 'date and time with offset (RFC 3339)' },
  { value: 's', words: 'seconds since 1970' },
  { value: 'ms', words: 'milliseconds since 1970' },
] as const;

type PartProps = { readonly draft: MappingDraft; readonly set: (change: Partial<MappingDraft>) => void };

function DeviceFields({ draft, set, topic }: PartProps & { readonly topic: string }) {
  const { device } = draft;
  const levels = levelsOf(topic).map(({ level, name }) => ({
    value: String(level),
    words: `level ${level} of the topic: ${name}`,
  }));
  const choose = (value: string) =>
    set({
      device:
        value === 'named' ? { ...device, kind: 'named' } : { ...device, kind: 'level', level: Number(value) },
    });
  return (
    <>
      <ChoiceField
        name="device"
        label="device"
        value={device.kind === 'named' ? 'named' : String(device.level)}
        choices={[{ value: 'named', words: 'named here' }, ...levels]}
        onChange={choose}
      />
      {device.kind === 'named' && (
        <TextField
          name="device-name"
          label="its name"
          value={device.name}
          unit=""
          error={undefined}
          onInput={(name) => set({ device: { ...device, name } })}
        />
      )}
    </>
  );
}

function TimeFields({ draft, set }: PartProps) {
  const { time } = draft;
  const write = (as: string) =>
    set({ time: { ...time, as: TIME_FORMS.find(({ value }) => value === as)?.value ?? 'rfc3339' } });
  return (
    <>
      <ChoiceField
        name="time"
        label="time"
        value={time.kind}
        choices={[
          { value: 'arrival', words: 'when it arrives' },
          { value: 'pointer', words: 'stands in the message' },
        ]}
        onChange={(kind) => set({ time: { ...time, kind: kind === 'pointer' ? 'pointer' : 'arrival' } })}
      />
      {time.kind === 'arrival' && (
        <p class="quiet">
          A message that is sent twice then counts twice: better a time of its own, where it has one.
        </p>
      )}
      {time.kind === 'pointer' && (
        <>
          <TextField
            name="time-pointer"
            label="at"
            value={time.pointer}
            unit=""
            placeholder="/time"
            error={undefined}
            onInput={(pointer) => set({ time: { ...time, pointer } })}
          />
          <ChoiceField
            name="time-form"
            label="written as"
            value={time.as}
            choices={TIME_FORMS}
            onChange={write}
          />
        </>
      )}
    </>
  );
}

/** Whose readings they are, in which place new probes stand, and where the time is taken from. */
export function WhereSection({ draft, set, topic }: PartProps & { readonly topic: string }) {
  const places = known.value.places.map(({ id, name }) => ({ value: id, words: name }));
  return (
    <section>
      <h2>3. Whose it is, where, and when</h2>
      <DeviceFields draft={draft} set={set} topic={topic} />
      <ChoiceField
        name="place"
        label="place"
        value={draft.placeId}
        choices={[{ value: '', words: 'a place of the device’s name' }, ...places]}
        onChange={(placeId) => set({ placeId })}
      />
      <TimeFields draft={draft} set={set} />
    </section>
  );
}
