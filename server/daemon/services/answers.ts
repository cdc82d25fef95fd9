import type { AnswerLink } from '../../../shared/model/people/people.ts';
import { ACKNOWLEDGE_WORDS } from '../../../shared/words/acknowledge.ts';
import { clock as clockWords } from '../../../shared/words/alarm.ts';
import { isOfRaising } from '../../domain/alarms/nuisance/chatter.ts';
import { type AlarmRecord, withAcknowledgement } from '../../domain/alarms/record.ts';
import { linkOf } from '../../domain/people/answer-link.ts';
import { testLinkOf } from '../../domain/people/weekly-test.ts';
import type { LinkState, LinkView, PeopleService } from '../../ports.ts';
import { keepStep } from '../notify/annunciate.ts';
import { wordsNow } from '../notify/messages/call-text.ts';
import { linkAbout } from './link-about.ts';
import { commitInAnyCase, type OrderContext } from './orders.ts';
import { followTest, viewTest } from './test-service.ts';

const ASK = { button: ACKNOWLEDGE_WORDS.button, means: ACKNOWLEDGE_WORDS.means };

/** Acknowledging by a link of a message: signed, of one raising, for a time, and once. */
export function createAnswers(context: OrderContext): Pick<PeopleService, 'view' | 'follow'> {
  const { settings, clock, store, world } = context;
  const judge = (token: string) => {
    const link = linkOf(settings.links.seal.read(token));
    return { link, view: viewOfLink(link, context) };
  };
  const testOf = (token: string) => testLinkOf(settings.links.seal.read(token));
  return {
    view(token) {
      const test = testOf(token);
      return test ? viewTest(test, context) : judge(token).view;
    },
    follow(token) {
      const test = testOf(token);
      if (test) return followTest(test, context);
      const { link, view } = judge(token);
      const record = link && world.alarms.get(link.alarmId);
      if (view.state !== 'good' || !link || !record) return view;
      const nowMs = clock.nowMs();
      const by = store.people.roster().people.find(({ id }) => id === link.personId)?.name ?? null;
      commitInAnyCase(context, () => {
        store.people.useLinkOnce(link, nowMs);
        const step = withAcknowledgement(record, { atMs: nowMs, by });
        keepStep(step, { world, store, settings, nowMs, ...(by === null ? {} : { note: by }) });
      });
      context.alarmChanged(record.id);
      const words = `Acknowledged${by === null ? '' : ` by ${by}`}. Nobody else is called about it now.`;
      const after = world.alarms.get(record.id) ?? record;
      return { ...view, words, ask: null, about: linkAbout(after, link.personId, context) };
    },
  };
}

function viewOfLink(link: AnswerLink | null, context: OrderContext): LinkView {
  const { world, settings, clock, store } = context;
  const said = (state: LinkState, words: string, headline = 'Strikewell'): LinkView => ({
    state,
    headline,
    words,
    ask: null,
    about: null,
  });
  if (!link)
    return said('forged', 'This link was not made here, or was cut off on its way. Nothing was done.');
  const reader = { unit: 'C', timeZone: settings.timeZone, nowMs: clock.nowMs() } as const;
  const record = world.alarms.get(link.alarmId);
  const headline = record ? wordsNow(record, { ...context, nowMs: reader.nowMs }).headline : undefined;
  const isOfIt = record !== undefined && isOfRaising(record, link);
  const about = () => (isOfIt ? linkAbout(record, link.personId, context) : null);
  if (store.people.isLinkUsed(link.id)) {
    const used = 'This link was used before: it works once. Nothing was done.';
    return { ...said('spent', used, headline), about: about() };
  }
  if (link.expiresMs <= reader.nowMs) {
    const until = clockWords(link.expiresMs, reader);
    return said('expired', `This link worked until ${until}. Acknowledge on the page instead.`, headline);
  }
  const over = record ? overWords(record, link, reader) : 'This alarm is no more: its place was removed.';
  if (over !== null) return { ...said('over', over, headline), about: about() };
  return { ...said('good', '', headline), ask: ASK, about: about() };
}

type Reader = Parameters<typeof clockWords>[1];

/** Why there is nothing to acknowledge any more, or null when there is. */
function overWords(record: AlarmRecord, link: AnswerLink, reader: Reader): string | null {
  if (!isOfRaising(record, link))
    return 'This link is of an earlier alarm; it has been raised again since. Use the newest message.';
  if (withAcknowledgement(record, { atMs: reader.nowMs }).transition !== null) return null;
  const { acknowledgedAtMs, acknowledgedBy } = record;
  if (acknowledgedAtMs === null) return 'There is nothing to acknowledge any more.';
  const by = acknowledgedBy === null ? '' : ` by ${acknowledgedBy}`;
  return `It was acknowledged at ${clockWords(acknowledgedAtMs, reader)}${by} already.`;
}
