import { Fault } from '../../shared/faults.ts';
import { newPasswordSchema } from '../../shared/model/people/access.ts';
import { OWNER_NAME } from '../../shared/model/people/roles.ts';
import { commonPasswords as common } from '../adapters/passwords/common.ts';
import { lockDataDir, lockHolder } from '../adapters/sqlite/file/lock.ts';
import { openAccessBeside } from '../adapters/sqlite/tables/people/access.ts';
import { askSecret, firstLine, isTyped } from '../adapters/system/ask-secret.ts';
import { systemClock as clock } from '../adapters/system/clock.ts';
import { openDataDir } from '../adapters/system/files/files.ts';
import { systemSecrets as secrets } from '../adapters/system/secrets.ts';
import { removeOwnerPasskeys, setOwnerPassword } from '../daemon/access/owner.ts';
import type { AccessRecord } from '../ports.ts';
import type { Command } from './command.ts';
import { openRecord, recordFileIn } from './record-file.ts';

/** Sets the owner password, also a forgotten one, from the machine itself, beside a running daemon or without it. */
export const owner: Command = {
  summary: 'set or reset the owner password; asked for, or read from the standard input',
  usage: '[--remove-passkeys] [--config FILE]',
  options: { 'remove-passkeys': { type: 'boolean' } },
  async run({ values, settings, words, say }) {
    if (words.length > 0) {
      // not repeated here: it may be the password
      const message = 'Do not put the password on the command line; you will be asked for it.';
      throw new Fault({ code: 'bad-request', message });
    }
    const { dataDir } = settings;
    openDataDir(dataDir);
    if (values['remove-passkeys'] === true) say(withoutPasskeys(dataDir));
    else say(await withPassword(dataDir, checked(isTyped() ? await typedTwice() : await firstLine())));
    return { code: 0 };
  },
};

async function withPassword(dataDir: string, password: string): Promise<string> {
  const opened = open(dataDir);
  try {
    const setting = { record: opened.access, secrets, common, nowMs: clock.nowMs() };
    const { reset, passkeys } = await setOwnerPassword(setting, password);
    const done = reset ? 'reset; all its sessions have ended' : 'set';
    const besides =
      passkeys === 0
        ? ''
        : ' Its passkey is still needed; if it is lost: strikewell owner --remove-passkeys.';
    return `The owner password is ${done}. Sign in as "${OWNER_NAME}". A running daemon asks for it from now on.${besides}`;
  } finally {
    opened.close();
  }
}

function withoutPasskeys(dataDir: string): string {
  const opened = open(dataDir);
  try {
    const count = removeOwnerPasskeys({ record: opened.access, nowMs: clock.nowMs() });
    if (count === 0) return 'The owner has no passkey. All its sessions have ended.';
    return `Passkeys removed: ${count}. The owner signs in with the password alone; all its sessions have ended.`;
  } finally {
    opened.close();
  }
}

function open(dataDir: string): { access: AccessRecord; close(): void } {
  if (lockHolder(dataDir) !== null) return openAccessBeside(recordFileIn(dataDir));
  const lock = lockDataDir(dataDir);
  try {
    const { store } = openRecord({ dataDir, nowMs: clock.nowMs() });
    return {
      access: store.access,
      close() {
        store.close();
        lock.release();
      },
    };
  } catch (cause) {
    lock.release();
    throw cause;
  }
}

async function typedTwice(): Promise<string> {
  const password = checked(await askSecret('New owner password: '));
  if ((await askSecret('The same again: ')) === password) return password;
  throw new Fault({ code: 'bad-request', message: 'The two are not the same; nothing was changed.' });
}

function checked(password: string): string {
  const parsed = newPasswordSchema.safeParse(password);
  if (parsed.success) return parsed.data;
  const why = parsed.error.issues[0]?.message ?? 'it cannot be that';
  throw new Fault({ code: 'bad-request', message: `Nothing was changed: ${why}.` });
}
