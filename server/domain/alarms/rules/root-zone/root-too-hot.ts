import { AS_READ } from '../sampler.ts';

export const rootTooHot = AS_READ;
