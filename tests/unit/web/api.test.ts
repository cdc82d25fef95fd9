import { readFileSync } from 'node:fs';
import { afterAll, beforeAll, describe, expect, expectTypeOf, test } from 'vitest';
import type { InCall, RouteId } from '../../../shared/routes/call.ts';
import { ROUTES } from '../../../shared/routes/routes.ts';
import type { AccessAnswer, PasskeyStep } from '../../../shared/wire/access.ts';
import type { PlaceNow } from '../../../shared/wire/http.ts';
import { ADDRESSES } from '../../../web/addresses.ts';
import { ApiError, addressOf, call, onConfirmNeeded, signInNeeded, spanQuery } from '../../../web/api.ts';
import { addressesText } from '../../../web/write-addresses.ts';
import { type Interface, startInterface } from '../server/support/interface.ts';

const OWNER = 'a bench of willow cuttings';

let page: Interface;
let cookie = '';
const plainFetch = globalThis.fetch;
beforeAll(async () => {
  page = await startInterface();
  await page.house.report([{ n: 'air/temperature', u: 'Cel', v: 24.5 }]);
  // what a browser does by itself: addresses are those of the page's origin, and its cookie goes along
  globalThis.fetch = async (input, init) => {
    const headers = { ...init?.headers, ...(cookie === '' ? {} : { cookie }) };
    const answer = await plainFetch(new URL(String(input), `http://127.0.0.1:${page.port}`), {
      ...init,
      headers,
    });
    cookie = answer.headers.getSetCookie()[0]?.split(';')[0] ?? cookie;
    return answer;
  };
});
afterAll(async () => {
  globalThis.fetch = plainFetch;
  await page.close();
});

const faultOf = (called: Promise<unknown>) =>
  called.then(
    () => null,
    (thrown: unknown) => (thrown instanceof ApiError ? thrown.problem : thrown),
  );

describe('the addresses of the page', () => {
  test('are those that "npm run contracts" writes now: one a route, by its id', () => {
    const committed = readFileSync(new URL('../../../web/addresses.ts', import.meta.url), 'utf8');
    expect(committed).toBe(addressesText());
    expect(Object.values(ADDRESSES)).toEqual(Object.keys(ROUTES));
  });

  test('are filled in with what the path names, each one step of it, and with the query that is given', () => {
    expect(addressOf('listPlaces')).toBe('/api/v1/places');
    expect(addressOf('exportPlace', { params: { id: 'north bench/1?' } })).toBe(
      '/api/v1/places/north%20bench%2F1%3F/export',
    );
    expect(addressOf('deleteVent', { params: { id: 'sill', ventId: 7 } })).toBe(
      '/api/v1/places/sill/vents/7',
    );
    const query = {
      quantity: 'airVpdKpa',
      points: 288,
      ...spanQuery({ fromMs: 0, toMs: 86_400_000 }),
    } as const;
    expect(addressOf('getSeries', { params: { id: 'sill' }, query })).toBe(
      '/api/v1/places/sill/series?quantity=airVpdKpa&points=288&from=1970-01-01T00%3A00%3A00.000Z&to=1970-01-02T00%3A00%3A00.000Z',
    );
    expect(addressOf('deleteArchived', { params: { id: 3 }, query: { now: true } })).toBe(
      '/api/v1/archive/3?now=true',
    );
    expect(addressOf('listFindings', { query: { place: null } })).toBe('/api/v1/probes/findings');
  });
});

describe('a call of the page', () => {
  test('answers what the table says of the route, and is typed so', async () => {
    const id = page.house.daemon.queries.places()[0]?.id ?? '';
    const now = await call('getPlaceNow', { params: { id } });
    expectTypeOf(now).toEqualTypeOf<PlaceNow>();
    expect(now.quantities.airTemperatureC?.value).toBe(24.5);
    const from = '2026-02-01T00:00:00Z';
    const made = await call('logVent', { params: { id }, body: { from, to: null } });
    expectTypeOf(made).toEqualTypeOf<{ readonly id: number }>();
    const gone = await call('deleteVent', { params: { id, ventId: made.id } });
    expectTypeOf(gone).toEqualTypeOf<undefined>();
    expect(gone).toBeUndefined();
    expectTypeOf(call<'signIn'>).returns.toEqualTypeOf<Promise<AccessAnswer | PasskeyStep>>();
  });

  test('is typed by the path, the query and the body of its route', () => {
    type Sent<Id extends RouteId> = NonNullable<InCall<Id>[0]>;
    type At<Query> = { readonly params: { readonly id: string }; readonly query: Query };
    expectTypeOf<'listBenches'>().not.toExtend<RouteId>();
    expectTypeOf<InCall<'listPlaces'>>().toExtend<[unknown?]>();
    expectTypeOf<[]>().toExtend<InCall<'listPlaces'>>();
    expectTypeOf<[]>().not.toExtend<InCall<'getPlaceNow'>>();
    expectTypeOf<{ params: { id: string } }>().toExtend<Sent<'getPlaceNow'>>();
    expectTypeOf<{ params: { place: string } }>().not.toExtend<Sent<'getPlaceNow'>>();
    expectTypeOf<{ params: { id: string } }>().not.toExtend<Sent<'getExposures'>>();
    expectTypeOf<At<{ from: string; to: string }>>().toExtend<Sent<'getExposures'>>();
    expectTypeOf<At<{ from: number; to: number }>>().not.toExtend<Sent<'getExposures'>>();
    expectTypeOf<At<{ from: string; to: string; points: number; quantity: 'airVpdKpa' }>>().toExtend<
      Sent<'getSeries'>
    >();
    expectTypeOf<At<{ from: string; to: string; quantity: 'warmth' }>>().not.toExtend<Sent<'getSeries'>>();
    expectTypeOf<{ params: { id: string }; body: { minutes: number } }>().not.toExtend<Sent<'shelveAlarm'>>();
    expectTypeOf<Sent<'unshelveAlarm'>>().not.toHaveProperty('body');
    expectTypeOf<Sent<'setTargets'>>().toHaveProperty('body');
  });

  test('rejects with the code, the words and the details of what was wrong', async () => {
    expect(await faultOf(call('getPlaceNow', { params: { id: 'nowhere' } }))).toMatchObject({
      code: 'not-found',
      message: expect.stringContaining('nowhere'),
    });
    const body = { minutes: -1, reason: '' };
    expect(await faultOf(call('shelveAlarm', { params: { id: 'none' }, body }))).toMatchObject({
      code: 'bad-request',
      details: { field: 'minutes', minutes: expect.any(String), reason: expect.any(String) },
    });
  });

  test('asks for the password where the route wants it again, goes on once it was given, and says so when nobody is signed in', async () => {
    const signedIn = await call('setOwnerPassword', { body: { password: OWNER } });
    expect(signedIn.who?.role).toBe('own');
    page.house.hand.pass(10 * 60_000);
    const sam = { name: 'Sam', role: 'look', password: 'a cold frame in october' } as const;
    const asked: string[] = [];
    onConfirmNeeded(async () => asked.push('cancelled') === 0);
    expect(await faultOf(call('addAccount', { body: sam }))).toMatchObject({
      code: 'confirm-needed',
      message: 'Cancelled: your password was not given.',
    });
    onConfirmNeeded(async () => {
      asked.push('given');
      await call('confirmPassword', { body: { password: OWNER } });
      return true;
    });
    expect(await call('addAccount', { body: sam })).toMatchObject({ name: 'Sam', role: 'look' });
    expect(asked).toEqual(['cancelled', 'given']);
    let notices = 0;
    signInNeeded.addEventListener('ring', () => {
      notices += 1;
    });
    await call('signOut');
    expect(await faultOf(call('listPlaces'))).toMatchObject({ code: 'sign-in-needed' });
    expect(notices).toBe(1);
  });
});
