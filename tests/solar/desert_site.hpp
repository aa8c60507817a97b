// An invented place in the desert, for the tests of weather files.
#pragma once

#include "solar/site.hpp"

namespace noonshell::test {

inline Site desert() {
    Site site;
    site.latitude_deg = 27;
    site.longitude_deg = 30;
    site.elevation_m = 100;
    site.utc_offset_h = 2;
    return site;
}

}  // namespace noonshell::test
