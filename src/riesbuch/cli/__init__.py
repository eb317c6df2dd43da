"""The commands, one thin file each: ask, show, exit. The only room that reads options."""
