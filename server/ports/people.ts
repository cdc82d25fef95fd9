/** What is asked and ordered about the people who are told. */
export type PeopleDesk = {
  /** The secret by which receivers of webhooks know that a message comes from here, as they are given it. */
  webhookSecret(): string;
};
