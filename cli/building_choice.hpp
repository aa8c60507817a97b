// Which construction every surface has.
#pragma once

#include <vector>

#include "cli/site_file.hpp"
#include "geometry/envelope.hpp"
#include "thermal/building.hpp"

namespace noonshell {

/// The first [[construction]] whose pattern matches a surface's id; else bare steel for walls,
/// roofs and shades and plywood for floors, recorded in `settings.inputs`. Constructions and
/// treatments that fit no surface are warned about.
Building choose_building(const Envelope& envelope, SiteFile& settings,
                         std::vector<Warning>& warnings);

}  // namespace noonshell
