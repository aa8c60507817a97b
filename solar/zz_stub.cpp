// compiled once so that the folder is a library
