// What runs found, kept by keys of all that went into them.
#pragma once

#include <optional>
#include <string>

#include "thermal/content_key.hpp"
#include "thermal/simulate.hpp"

namespace noonshell {

/// Safe to call from several threads. A store may forget, it must not make up.
class TrialStore {
  public:
    TrialStore() = default;
    TrialStore(const TrialStore&) = delete;
    TrialStore& operator=(const TrialStore&) = delete;
    virtual ~TrialStore() = default;
    virtual std::optional<std::string> find(const std::string& key) = 0;
    virtual void keep(const std::string& key, const std::string& bytes) = 0;
};

/// All that a run of this building depends on: light, exchange, outdoors, constructions, rooms, the
/// options of the run. Not the bodies and facets that these were found from.
void add_to(ContentKey& key, const HeatInputs& inputs);
void add_to(ContentKey& key, const Construction& construction);
void add_to(ContentKey& key, const Building& building);
void add_to(ContentKey& key, const HeatOptions& options);

/// The figures over the whole period; hours, room balances and warnings are left out.
std::string bytes_of(const Response& response);
/// None where the bytes are not those of a response.
std::optional<Response> response_of(const std::string& bytes);

}  // namespace noonshell
