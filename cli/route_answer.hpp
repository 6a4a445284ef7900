#pragma once
#include <string>
#include <vector>

#include "bearingdsp/history/end_judgement.hpp"
#include "bearingdsp/history/route_run.hpp"
#include "bearingdsp/history/standing.hpp"
#include "bearingdsp/report/history.hpp"
#include "terminal.hpp"

namespace cli {

/// What a survey shows: every point of the route, worst first, and what the recordings of one
/// bearing say together.
struct RouteAnswer {
  std::vector<bearingdsp::Standing> standings;
  std::vector<bearingdsp::EndStanding> ends;
};

/// Of all standings of the store only those of this route: the store may hold other routes too.
[[nodiscard]] bearingdsp::Result<RouteAnswer> route_answer(
    const bearingdsp::Route& route, const std::vector<bearingdsp::Standing>& all,
    bearingdsp::History& history);
/// The same without a survey, where the store is that of the plant folder, whose route says which
/// points are at one bearing; all standings as they are where it is not. `machine`: only its ends.
/// A route that cannot be read is named in a note.
/// Errors: those of the store
[[nodiscard]] bearingdsp::Result<RouteAnswer> stored_answer(std::vector<bearingdsp::Standing> all,
                                                            bearingdsp::History& history,
                                                            const std::string& store,
                                                            const std::string& machine = "");
/// The points of one machine as the list shows them.
/// Errors: not_found for no such machine; those of the store
[[nodiscard]] bearingdsp::Result<RouteAnswer> machine_answer(bearingdsp::History& history,
                                                             const std::string& store,
                                                             const std::string& machine);
/// What of it is about a point, which is one of its own.
struct PointAnswer {
  bearingdsp::Standing standing;
  std::vector<bearingdsp::EndStanding> ends;
};
[[nodiscard]] PointAnswer standing_at(const RouteAnswer& answer, const bearingdsp::PointKey& key);
/// The worst point; a recording that failed outranks it.
[[nodiscard]] Exit route_exit(const RouteAnswer& answer, const bearingdsp::RouteRun& run);
[[nodiscard]] bearingdsp::Report list_of(const RouteAnswer& answer, const std::string& title);
[[nodiscard]] bearingdsp::Report list_of(const bearingdsp::Route& route, const RouteAnswer& answer,
                                         const bearingdsp::RouteRun& run);

}  // namespace cli
