/** What an account may do: look (read), tend (also acknowledge, shelve and the diary), own (everything). */
export const ROLES = ['look', 'tend', 'own'] as const;
export type Role = (typeof ROLES)[number];

/** The account whose password opens the installation to the network. */
export const OWNER_NAME = 'owner';

export const MIN_PASSWORD_CHARACTERS = 10;
export const MAX_PASSWORD_CHARACTERS = 200;

/** What changes who may asks for the password again, unless it was given so recently, minutes. */
export const CONFIRMED_MINUTES = 10;

/** Most passkeys of one account. */
export const MAX_PASSKEYS = 10;
