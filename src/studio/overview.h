#pragma once

#include <string>

#include "book/records.h"

namespace greywright::studio {

/// How the work on a condition stands, from what its book holds; nothing is computed anew.
enum class Standing {
    empty,       ///< nothing was measured yet
    unfinished,  ///< the last search asks for another print, or does not know the latest trials yet
    neutral,     ///< the last search settled, and its trials are the latest
    outOfReach,  ///< the last search found that no setting will do
    drifting,    ///< a search settled once; the latest one, with later trials, is no longer settled
};

/// One condition at a glance.
struct ConditionOverview {
    book::ConditionRecord condition = {};
    Standing standing = Standing::empty;
    std::string words = {};  ///< one sentence for a person
    std::size_t trials = 0;  ///< that count
    int lastTrial = 0;       ///< the latest that counts and was measured; 0 = none
};

}  // namespace greywright::studio
