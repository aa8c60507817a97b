// What meets every face in the open at the end of a step: sun, longwave from all around, air, wind.
#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "thermal/heat_patches.hpp"
#include "thermal/outside_face.hpp"
#include "thermal/passages.hpp"
#include "thermal/simulate.hpp"

namespace noonshell {

class OutsideConditions {
  public:
    /// All of them must outlive it; `change` may be null. With `given` longwave arrives as in that
    /// run, but for what the surfaces of these patches send out otherwise than they did there.
    OutsideConditions(const HeatInputs& inputs, const Patches& patches,
                      const ReflectanceChange* change, const Trace* given = nullptr);

    /// Sets a step. `emitted_w_m2` leaves the outermost faces, #surfaces; with a given run, how
    /// much more than there (empty: no more).
    /// `outermost_c` is what faces on passages had at the end of the step before, #surfaces; with a
    /// given run those that are not in the patches are as there (empty: all are).
    void set(std::size_t step, std::span<const double> emitted_w_m2,
             std::span<const double> outermost_c = {});

    /// See faces_of_passages().
    std::span<const SurfaceId> on_passages() const { return on_passages_; }

    /// Hour of the step that was set.
    std::size_t hour() const { return hour_; }

    /// #open patches.
    std::span<const FaceConditions> of_patches() const {
        return std::span(conditions_).first(n_patches_);
    }
    /// One for each face of a shade.
    std::span<const FaceConditions> of_shade(std::size_t shade) const {
        return std::span(conditions_).subspan(shade_first_[shade]);
    }

  private:
    /// Sun on a pane as its glass passes it on at this hour's angles: of which the transmittance at
    /// normal incidence lets its share in.
    struct LetIn {
        double all_w_m2 = 0, beam_w_m2 = 0;
    };

    /// A surface that a face sees.
    struct Seen {
        std::uint32_t surface = 0;
        double share = 0;
    };

    /// A wind that faces have, over that of the station, and the forced convection that it makes
    /// in the hour looked up.
    struct Wind {
        double ratio = 1;
        double windward_w_m2k = 0, leeward_w_m2k = 0, unknown_w_m2k = 0;
    };

    /// A passage before a face, and what the hour's wind does in it.
    struct PassageNow {
        Passage passage;
        double share = 0;            // of the face
        std::vector<Seen> others{};  // the faces before it
        double speed_m_s = 0, forced_w_m2k = 0;
    };

    /// A face with what the hour brings to it.
    struct FaceNow {
        const OpenFace* face;
        std::span<const Seen> seen{};
        double light_w_m2 = 0, light_next_w_m2 = 0, forced_w_m2k = 0;
        LetIn let_in{}, let_in_next{};
        std::size_t wind = 0;              // in winds_
        double forced_factor = 1;          // by its roughness
        std::size_t passage = no_passage;  // in passages_
    };

    static constexpr std::size_t no_passage = static_cast<std::size_t>(-1);

    void find_seen(const Patches& patches);
    void find_passages();
    void look_up_passage(const FaceNow& now, std::size_t hour);
    double last_c(SurfaceId surface, std::size_t step, std::span<const double> outermost_c) const;
    void mix_passage_air(const FaceNow& now, std::size_t step, std::span<const double> outermost_c,
                         FaceConditions& around_face) const;
    WindSide side_of(const OpenFace& face, std::size_t hour) const;
    static double sum_of(std::span<const Seen> seen, std::span<const double> emitted_w_m2);
    double longwave_around_w_m2(const OpenFace& face, std::size_t step) const;
    void look_up_hour(std::size_t hour);
    FaceConditions conditions_of(const FaceNow& now, std::size_t step,
                                 std::span<const double> emitted_w_m2) const;
    double incident_w_m2(const OpenFace& face, std::size_t hour) const;
    double light_w_m2(const OpenFace& face, std::size_t hour) const;
    LetIn let_in(const OpenFace& face, std::size_t hour, double light_w_m2) const;
    void find_winds();
    void look_up_winds(std::size_t hour);
    double forced_w_m2k(const FaceNow& now, std::size_t hour) const;

    const HeatInputs& in_;
    const ReflectanceChange* change_;
    const Trace* given_;
    std::size_t n_patches_;
    std::size_t hour_ = static_cast<std::size_t>(-1);
    std::vector<Wind> winds_;                 // distinct ones
    std::vector<Seen> seen_;                  // by face, those whose longwave is added up
    std::vector<FaceNow> faces_;              // open patches, then the faces of the shades
    std::vector<std::size_t> shade_first_;    // where a shade's faces begin in faces_
    std::vector<FaceConditions> conditions_;  // as faces_
    std::vector<PassageNow> passages_;
    std::vector<SurfaceId> on_passages_;
    std::vector<std::uint8_t> is_run_;  // #surfaces, 1 for those of the patches
};

}  // namespace noonshell
