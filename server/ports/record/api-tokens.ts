import type { TokenScope } from '../../../shared/model/people/access.ts';

/** A token of a program as it is kept, without what it is known by. */
export type KeptApiToken = {
  readonly id: number;
  readonly name: string;
  readonly scope: TokenScope;
  readonly createdMs: number;
};

/** Tokens of programs that read. */
export type ApiTokenRecord = {
  apiTokens(): KeptApiToken[];
  apiTokenBy(fingerprint: string): KeptApiToken | null;
  addApiToken(token: Omit<KeptApiToken, 'id'> & { readonly fingerprint: string }): KeptApiToken;
  removeApiToken(id: number): void;
};
