"""The commands, one file each. They read options, ask the library, and print."""
