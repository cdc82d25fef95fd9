# One function a kind of sensor: given its entry of settings.json it returns a function that reads it, as a list of
# (name of the probe, value or None). None is a sensor that failed: nothing is sent for it.
# To add a kind, write such a function and put it into KINDS at the end. Nothing else changes.
import time


def bus(entry):
    from machine import I2C, Pin

    return I2C(entry.get("bus", 0), scl=Pin(entry["scl"]), sda=Pin(entry["sda"]), freq=100000)


def sound(data):
    """Sensirion's checksum over two bytes: CRC-8, polynomial 0x31, from 0xFF (data sheet SHT3x, section 4.12)."""
    crc = 0xFF
    for byte in data[:2]:
        crc ^= byte
        for _ in range(8):
            crc = (crc << 1 ^ 0x31 if crc & 0x80 else crc << 1) & 0xFF
    return crc == data[2]


def sht(entry, command, wait_ms, humidity_of):
    i2c, address = bus(entry), entry.get("address", 0x44)

    def read():
        try:
            i2c.writeto(address, command)
            time.sleep_ms(wait_ms)
            data = i2c.readfrom(address, 6)
        except OSError:
            data = b""
        if len(data) < 6 or not sound(data[:3]) or not sound(data[3:]):
            return [(entry["temperature"], None), (entry["humidity"], None)]
        celsius = -45 + 175 * (data[0] << 8 | data[1]) / 65535
        return [(entry["temperature"], celsius), (entry["humidity"], humidity_of((data[3] << 8 | data[4]) / 65535))]

    return read


def sht3x(entry):
    return sht(entry, b"\x24\x00", 20, lambda share: 100 * share)


def sht4x(entry):
    return sht(entry, b"\xfd", 12, lambda share: min(100, max(0, -6 + 125 * share)))


def ds18b20(entry):
    from ds18x20 import DS18X20
    from machine import Pin
    from onewire import OneWire

    line = DS18X20(OneWire(Pin(entry["pin"])))

    def read():
        try:
            found = line.scan()
            line.convert_temp()
            time.sleep_ms(750)
            celsius = line.read_temp(found[0])
        except Exception:  # none on the line, or its checksum does not fit
            celsius = None
        # what it says before its first conversion, and what libraries say where none answers
        return [(entry["temperature"], None if celsius in (85.0, -127.0) else celsius)]

    return read


def dht22(entry):
    from dht import DHT22
    from machine import Pin

    chip = DHT22(Pin(entry["pin"]))

    def read():
        try:
            chip.measure()
            return [(entry["temperature"], chip.temperature()), (entry["humidity"], chip.humidity())]
        except OSError:
            return [(entry["temperature"], None), (entry["humidity"], None)]

    return read


def bh1750(entry):
    i2c, address = bus(entry), entry.get("address", 0x23)

    def read():
        try:
            i2c.writeto(address, b"\x20")  # once, in steps of 1 lx; then it sleeps
            time.sleep_ms(180)
            data = i2c.readfrom(address, 2)
            return [(entry["illuminance"], (data[0] << 8 | data[1]) / 1.2)]
        except OSError:
            return [(entry["illuminance"], None)]

    return read


def contact(entry):
    from machine import Pin

    pin = Pin(entry["pin"], Pin.IN, Pin.PULL_UP)
    open_level = 0 if entry.get("closed_is_off") else 1

    # a closed contact pulls the pin down; water flows while it is closed, unless the entry says otherwise
    return lambda: [(entry["state"], 0 if pin.value() == open_level else 1)]


KINDS = {
    "sht3x": sht3x,
    "sht4x": sht4x,
    "ds18b20": ds18b20,
    "dht22": dht22,
    "bh1750": bh1750,
    "contact": contact,
}
