/**
 * The goal for the alarms: at most one a day in all, at most one of high priority a week and place.
 * PROPOSAL of the project for a bench with one keeper; process plants allow far more (ISA-18.2).
 */
export const ALARM_TARGETS = { perDay: 1, highPerWeekAndPlace: 1 } as const;
