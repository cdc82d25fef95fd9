# The same node in MicroPython. Yours to fill in: read_humidity_chip, read_one_wire, read_light_chip, utc_s and publish
# (QoS 1, returns True after the PUBACK). Its packs are tested; it was never run on a board by us.
import json

EVERY_S = 30
KEEP = 240
PACK = 20  # samples a pack, so that a pack stays small in memory

RANGES = {
    "root/temperature": ("Cel", -150, 150),
    "air/temperature": ("Cel", -150, 150),
    "air/humidity": ("%RH", 0, 105),
    "light/illuminance": ("lx", 0, 200000),
}


def sample(t_s, root_c, air_c, humidity_pct, lux):
    """What was read at a time, s since 1970 UTC; None where a chip failed."""
    if root_c in (85.0, -127.0):  # a one-wire probe before its first conversion, or absent
        root_c = None
    named = {
        "root/temperature": root_c,
        "air/temperature": air_c,
        "air/humidity": humidity_pct,
        "light/illuminance": lux,
    }
    return (t_s, {name: v for name, v in named.items() if sound(name, v)})


def sound(name, value):
    low, high = RANGES[name][1:]
    return value is not None and low <= value <= high


def pack(samples):
    """The payload for up to PACK samples, or None when all of them are empty."""
    records = []
    for t_s, values in samples[:PACK]:
        for name, value in values.items():
            records.append(
                {"bt": t_s, "n": name, "u": RANGES[name][0], "v": round(value, 2), "ut": EVERY_S}
            )
    return json.dumps(records) if records else None


def send_kept(kept, publish):
    """Sends what is kept, oldest first; what was not acknowledged stays in the list."""
    while kept:
        payload = pack(kept)
        if payload is not None and not publish(payload):
            return
        del kept[:PACK]


def run(read_one_wire, read_humidity_chip, read_light_chip, utc_s, publish, sleep):
    kept = []
    while True:
        t_s = utc_s()
        if t_s:  # 0 while the clock is not set; remember boards that count from 2000-01-01
            air_c, humidity_pct = read_humidity_chip()
            kept.append(sample(t_s, read_one_wire(), air_c, humidity_pct, read_light_chip()))
            del kept[:-KEEP]
            send_kept(kept, publish)
        sleep(EVERY_S)
