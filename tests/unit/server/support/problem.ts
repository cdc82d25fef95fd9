import { expect } from 'vitest';

/** Problem details of a fault, and nothing else. */
export const problemWith = (code: string) => ({
  type: `/api/v1/problems/${code}`,
  title: expect.any(String),
  status: expect.any(Number),
  detail: expect.any(String),
  instance: expect.any(String),
  error: expect.objectContaining({ code }),
});
