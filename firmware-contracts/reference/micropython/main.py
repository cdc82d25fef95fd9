# Runs when the board starts. Everything that is yours stands in settings.json.
import json

from board import Board
from node import Node

with open("settings.json") as file:
    settings = json.load(file)
# a watchdog cannot be stopped again, and would end a deep sleep on some boards
Node(settings, Board(watchdog=not settings.get("sleep"))).run()
