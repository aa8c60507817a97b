message(FATAL_ERROR "solar.sun_referee needs npm and node (Debian packages npm and nodejs); neither the "
                    "sun positions to compare with nor the comparison could be made. Install them and "
                    "configure again.")
