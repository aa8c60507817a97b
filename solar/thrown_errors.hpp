// How sure the light is that other parts throw onto a surface: by the rays of both ends, by the
// light of the parts that send it, and by its being even within these.
#pragma once

#include "geometry/envelope.hpp"
#include "solar/exposure.hpp"
#include "solar/surface_sun.hpp"

namespace noonshell {

/// Sets the standard errors of the surfaces' ground and bounced light, as the root of the sum of
/// the squares of
/// - the noise of the rays of both ends, weighed as reciprocal_net() weighs them; rays of one facet
///   are taken as independent but for the half that goes down, whose share of all is exact;
/// - the sampling errors of sun and sky on the parts that are seen, after one bounce: each part's
///   own, but shared by all facets that see it;
/// - the light's unevenness within parts: half the change of the surface's thrown light when parts
///   are joined with their neighbours to twice the edge h. An error that falls with a power of h
///   between the first and the second, e(2h) - e(h) = e(h) to 3 e(h), is half of that change to
///   within a factor of two, and lies in the range of 1.96 times it. Squared, the changes by the
///   groups of four are added one by one too: those that cancel each other do so by chance, and
///   the errors that they stand for need not.
/// `facets` are those of the scenery with the ground, as facet_sun() gives them.
void set_thrown_errors(const Envelope& scenery, const ExchangeMatrix& exchange,
                       const Exposure& exposure, const FacetSun& facets, SurfaceSun& surfaces);

}  // namespace noonshell
