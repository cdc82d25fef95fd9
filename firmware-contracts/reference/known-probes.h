/* Made by "npm run contracts" from shared/quantities.ts. */
static const known_probe KNOWN[] = {
    {"root/temperature", "Cel", -150000, 150000},
    {"leaf/temperature", "Cel", -150000, 150000},
    {"wall/temperature", "Cel", -150000, 150000},
    {"outside/temperature", "Cel", -150000, 150000},
    {"air/temperature", "Cel", -150000, 150000},
    {"leaf/wetness", "/", 0, 1000},
    {"medium/moisture", "%", 0, 100000},
    {"air/humidity", "%RH", 0, 105000},
    {"light/ppfd", "umol/m2/s", 0, 4000000},
    {"light/illuminance", "lx", 0, 200000000},
    {"mist/valve", "/", 0, 1000},
    {"heat/power", "W", 0, 100000000},
    {"battery/level", "%EL", 0, 100000},
};
