import { useEffect, useState } from 'preact/hooks';
import type { Quiet } from '../../shared/model/people/people.ts';
import type { PeopleAnswer } from '../../shared/wire/people.ts';
import { call } from '../api.ts';
import { useLoaded, useOrder } from '../common/hooks.ts';
import { access, may } from '../settings/access.ts';
import { nowMs, places, say } from '../state.ts';
import { EscalationSection } from './escalation.tsx';
import { checkAgainMs, unreachable } from './people.ts';
import { PersonCard } from './person.tsx';
import { PersonForm } from './person-form.tsx';
import { WeeklyTestSection } from './weekly-test.tsx';

function NewPerson({ changed, isFirst }: { changed: () => void; isFirst: boolean }) {
  const order = useOrder();
  const [open, setOpen] = useState(false);
  const add = async (person: { name: string; quiet: Quiet | null }) => {
    if (!(await order.run(() => call('addPerson', { body: person })))) return;
    say(`${person.name} added, last on the ladder.`);
    setOpen(false);
    changed();
  };
  if (!open)
    return (
      <button type="button" class={`add-person${isFirst ? ' first' : ''}`} onClick={() => setOpen(true)}>
        Add a person…
      </button>
    );
  return <PersonForm order={order} name="Add" onSave={add} close={() => setOpen(false)} />;
}

function WebhookSecret() {
  const order = useOrder();
  const [secret, setSecret] = useState<string | null>(null);
  return (
    <section>
      <h2>Webhooks</h2>
      <p>
        Messages to webhooks are signed by the Standard Webhooks scheme, so that a receiver can tell that they
        come from here. Give the secret to the receiver and to nobody else.
      </p>
      {secret === null ? (
        <button
          type="button"
          disabled={order.busy}
          onClick={() => void order.run(async () => setSecret((await call('getWebhookSecret')).secret))}
        >
          Show the secret
        </button>
      ) : (
        <pre class="breakable" data-testid="webhook-secret">
          {secret}
        </pre>
      )}
      {order.problem && (
        <p class="problem" role="status">
          {order.problem}
        </p>
      )}
    </section>
  );
}

function Loaded({ answer, changed }: { answer: PeopleAnswer; changed: () => void }) {
  const { people, can, links } = answer;
  const mute = unreachable(people);
  return (
    <>
      {places.value.some(({ invented }) => invented) && (
        <p class="quiet" data-testid="demo-calls-nobody">
          Alarms of the demo places stay on the page: nobody is called about them, no buzzer sounds. Tests do
          reach people, and say that they are tests.
        </p>
      )}
      {people.length === 0 && (
        <p class="say">Nobody is called yet: alarms only show on this page. Add who should be woken.</p>
      )}
      {mute.length > 0 && (
        <p class="problem">Without a contact method, and so left out: {mute.join(', ')}.</p>
      )}
      <div class="people">
        {people.map((person) => (
          <PersonCard key={person.id} person={person} answer={answer} changed={changed} />
        ))}
      </div>
      <NewPerson changed={changed} isFirst={people.length === 0} />
      {people.length > 0 && (
        <EscalationSection key={JSON.stringify(answer.ladder)} answer={answer} changed={changed} />
      )}
      {(!can.mail || !links) && (
        <p class="quiet">
          {!can.mail && 'E-mail needs STRIKEWELL_SMTP_URL and STRIKEWELL_MAIL_FROM. '}
          {!links && 'Messages carry a link to acknowledge by once STRIKEWELL_PUBLIC_URL is set.'}
        </p>
      )}
      {people.length > 0 && <WeeklyTestSection answer={answer} changed={changed} />}
      <WebhookSecret />
    </>
  );
}

/** Who is notified of alarms, by which contact methods, in which order. */
export function PeoplePage() {
  // while it is not known yet who asks, the daemon's own refusal says it
  return access.value === null || may('listPeople') ? (
    <PeopleIntro />
  ) : (
    <div class="plain-page">
      <h1>People</h1>
      <p class="say">Only owners see who is notified.</p>
    </div>
  );
}

function PeopleIntro() {
  const { value, problem, loading, reload } = useLoaded('people', () => call('listPeople'));
  const againMs = value === null ? null : checkAgainMs(value.tests, nowMs.value);
  useEffect(() => {
    if (againMs === null) return;
    const wait = setTimeout(reload, againMs);
    return () => clearTimeout(wait);
  }, [value, againMs]);
  return (
    <div class="plain-page">
      <h1>People</h1>
      {problem && (
        <p class="problem" role="status">
          {problem}
        </p>
      )}
      {!value && loading && <p class="waiting">Loading people…</p>}
      {value && <Loaded answer={value} changed={reload} />}
    </div>
  );
}
