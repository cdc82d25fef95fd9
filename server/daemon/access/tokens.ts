import { Fault } from '../../../shared/faults.ts';
import type { ApiToken } from '../../../shared/wire/access.ts';
import type { Access, KeptApiToken } from '../../ports.ts';
import type { AccessParts } from './deps.ts';

/** Each is a program that somebody looks after. */
const MAX_TOKENS = 50;

type Tokens = Pick<Access, 'tokens' | 'addToken' | 'removeToken' | 'tokenOf'>;

/** Tokens with which programs read: random, kept as a fingerprint, and valid until they are removed. */
export function createTokens({ record, secrets, clock, events, onChange }: AccessParts): Tokens {
  return {
    tokens: () => record.apiTokens().map(shown),
    addToken({ name, scope }, by) {
      const had = record.apiTokens();
      if (had.some((each) => each.name === name)) throw badRequest(`There is a token "${name}" already.`);
      if (had.length >= MAX_TOKENS)
        throw badRequest(`There are at most ${MAX_TOKENS} tokens: remove one first.`);
      const token = secrets.token();
      const fingerprint = secrets.fingerprint(token);
      const kept = record.addApiToken({ name, scope, fingerprint, createdMs: clock.nowMs() });
      events.note({ kind: 'token-added', who: by.name, whom: name, address: by.address, note: scope });
      return { ...shown(kept), token };
    },
    removeToken(id, by) {
      const token = record.apiTokens().find((each) => each.id === id);
      if (!token) throw new Fault({ code: 'not-found', message: 'There is no such token.' });
      record.removeApiToken(id);
      events.note({ kind: 'token-removed', who: by.name, whom: token.name, address: by.address });
      onChange();
    },
    tokenOf: (text) => record.apiTokenBy(secrets.fingerprint(text)),
  };
}

function shown({ createdMs, ...token }: KeptApiToken): ApiToken {
  return { ...token, createdAt: new Date(createdMs).toISOString() };
}

function badRequest(message: string): Fault {
  return new Fault({ code: 'bad-request', message });
}
