import type { ComponentChildren } from 'preact';
import { useState } from 'preact/hooks';
import type { PlaceSummary } from '../../../shared/wire/http.ts';
import { ApiError, problemWords } from '../../api.ts';
import { type Outcome, OutcomeLine } from '../../common/field.tsx';
import type { FormValues } from '../../common/form.ts';
import { IfMay } from '../../common/if-may.tsx';
import { keepFocus } from '../../common/keys/keep-focus.ts';
import { may } from '../../settings/access.ts';
import { say } from '../../state.ts';

export type FieldsProps = {
  readonly values: FormValues;
  /** messages by field path */
  readonly errors: Readonly<Record<string, string>>;
  readonly set: (path: string, value: string) => void;
};

type PlaceFormProps = {
  readonly place: PlaceSummary;
  readonly name: 'settings' | 'targets' | 'priorities';
  readonly heading: string;
  readonly about: string;
  readonly route: 'changePlace' | 'setTargets';
  /** the values in force, as they are typed */
  readonly inForce: () => FormValues;
  readonly save: (values: FormValues) => Promise<unknown>;
  /** what an error said of the fields, by their path */
  readonly errorsOf: (details: unknown) => Record<string, string>;
  readonly saved: string;
  readonly saveName: string;
  readonly fields: (props: FieldsProps) => ComponentChildren;
};

/** A form of what is set for a place: its fields, the result of saving, and the way back to what is in force. */
export function PlaceForm({ place, name, heading, about, route, inForce, ...form }: PlaceFormProps) {
  const [values, setValues] = useState<FormValues>(inForce);
  const [errors, setErrors] = useState<Record<string, string>>({});
  const [outcome, setOutcome] = useState<Outcome>(null);
  const [busy, setBusy] = useState(false);
  const set = (path: string, value: string) => setValues((before) => ({ ...before, [path]: value }));
  const save = async (event: Event) => {
    event.preventDefault();
    const restoreFocus = keepFocus();
    setBusy(true);
    setErrors({});
    try {
      await form.save(values);
      setOutcome({ text: form.saved, failed: false });
      say(`${place.name}: ${name} saved.`);
    } catch (thrown) {
      setErrors(thrown instanceof ApiError ? form.errorsOf(thrown.problem.details) : {});
      setOutcome({ text: `Not saved: ${problemWords(thrown)}`, failed: true });
    } finally {
      setBusy(false);
      restoreFocus();
    }
  };
  return (
    <details class={name}>
      <summary>{heading}</summary>
      <form onSubmit={save} noValidate>
        <p>{about}</p>
        <fieldset class="groups" disabled={!may(route)}>
          {form.fields({ values, errors, set })}
        </fieldset>
        <IfMay route={route}>
          <span class="row">
            <button type="submit" class="first" disabled={busy}>
              {form.saveName}
            </button>
            <button type="button" onClick={() => setValues(inForce())}>
              Discard changes
            </button>
          </span>
        </IfMay>
        <OutcomeLine outcome={outcome} />
      </form>
    </details>
  );
}
