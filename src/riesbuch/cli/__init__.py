"""The commands, one thin file each. The only room that uses click."""
