// The model as triangles for the report page: what is painted, and what only stands there.
#pragma once

#include "cli/inspection.hpp"
#include "cli/json_parts.hpp"
#include "solar/surface_sun.hpp"

namespace noonshell {

/// "positions_m" [vertex * 3 + axis], model axes; "triangles" [triangle * 3 + corner];
/// "triangle_facet" into "facet_surface", "facet_covered" and "facet_sun_kwh_m2", all #facets, or
/// the number of facets for a triangle of no surface; "triangle_body". Facets come in the order of
/// the envelope; of more than `most_painted_facets` whole surfaces stand for them, drawn by the
/// triangles of their faces. Bodies with the role `ignore` are left out.
Json report_scene(const Inspection& inspection, const FacetSun& facets, const SurfaceSun& surfaces,
                  std::size_t most_painted_facets = 20'000);

}  // namespace noonshell
