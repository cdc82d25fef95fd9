import { useId } from 'preact/hooks';

type FieldProps = {
  readonly name: string;
  readonly label: string;
  readonly value: string;
  readonly unit: string;
  /** what an empty input means */
  readonly hint?: string;
  readonly error: string | undefined;
  readonly placeholder?: string;
  readonly inputMode?: 'decimal' | 'numeric' | 'text';
  readonly type?: 'text' | 'date' | 'datetime-local';
  readonly required?: boolean;
  readonly onInput: (value: string) => void;
};

/** A labelled input with its unit, and beneath it what is wrong with it. */
export function TextField(props: FieldProps) {
  const id = useId();
  const { name, label, value, unit, hint, error, placeholder = '', required = true } = props;
  const shared = {
    id,
    name,
    value,
    required,
    autocomplete: 'off' as const,
    'aria-invalid': error !== undefined,
    ...(error === undefined ? {} : { 'aria-describedby': `${id}-error` }),
    onInput: (event: { currentTarget: HTMLInputElement }) => props.onInput(event.currentTarget.value),
  };
  return (
    <div class={`field${error ? ' wrong' : ''}`}>
      <label for={id}>{label}</label>
      <span class="input">
        {props.type === 'datetime-local' || props.type === 'date' ? (
          <input {...shared} type={props.type} />
        ) : (
          <input {...shared} type="text" placeholder={placeholder} inputMode={props.inputMode ?? 'text'} />
        )}
        <span>{unit}</span>
      </span>
      {hint && <p class="hint">{hint}</p>}
      {error && (
        <p class="problem" id={`${id}-error`}>
          {error}
        </p>
      )}
    </div>
  );
}

type ChoiceProps = {
  readonly name: string;
  readonly label: string;
  readonly value: string;
  readonly choices: readonly { readonly value: string; readonly words: string }[];
  readonly onChange: (value: string) => void;
};

/** A labelled choice of one from several. */
export function ChoiceField({ name, label, value, choices, onChange }: ChoiceProps) {
  const id = useId();
  return (
    <div class="field">
      <label for={id}>{label}</label>
      <span class="input">
        <select id={id} name={name} value={value} onChange={(event) => onChange(event.currentTarget.value)}>
          {choices.map((choice) => (
            <option key={choice.value} value={choice.value}>
              {choice.words}
            </option>
          ))}
        </select>
      </span>
    </div>
  );
}

export type Outcome = { readonly text: string; readonly failed: boolean } | null;

/** The result of saving, announced politely. */
export function OutcomeLine({ outcome }: { outcome: Outcome }) {
  return (
    <p class={outcome?.failed ? 'problem' : ''} role="status">
      {outcome?.text}
    </p>
  );
}
