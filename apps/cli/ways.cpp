#include "ways.h"

#include <algorithm>
#include <iterator>
#include <string_view>

#include "core/said.h"

namespace greywright::cli {
namespace {

struct Way {
    std::string_view said;   ///< by a library, which does not know who shows it
    std::string_view typed;  ///< the same for whoever types commands
};

// In the order of the alphabet. tools/check-conventions finds out when a library no longer says one of these.
constexpr Way kWays[] = {
    {"Choose a trial that was measured", "See the trials with: greywright trial list --condition NAME"},
    {"Choose another, or make it count again",
     "Choose another, or make it count again: greywright trial restore"},
    {"Correct it with a neutralising table",
     "Correct it with a table: greywright neutralise --condition NAME"},
    {"Enter them first", "Enter one with: greywright viewer add NAME --age YEARS"},
    {"Give what is wrong with it",
     "Give what is wrong: --name, --printer, --inks, --paper, --mode or --axis"},
    {"Give the setting that it was printed at", "Give it with --setting"},
    {"Give the tones in the order of measuring, or add a column K (0 = paper, 100 = maximum black)",
     "Give the tones in the order of measuring with --tones, or add a column K (0 = paper, 100 = maximum "
     "black)"},
    {"It is a scene; name its light", "It is a scene; see its light with: greywright scene list"},
    {"Learn it on this paper, or read without it: the reading is then less certain",
     "Learn it on this paper, or leave --device out: the reading is then less certain"},
    {"Learn it, or read without it", "Learn it with: greywright device learn, or leave --device out"},
    {"Leave the picture out, or ask viewers", "Leave --picture out, or ask viewers"},
    {"Make a neutralising table first", "Make one first: greywright neutralise --condition NAME"},
    {"Make a profile for RGB of it, or a link from grey",
     "Make an RGB profile of it, or a link: --kind rgb, --kind link"},
    {"Make a sheet for a scanner or camera and print that; or name the file of its definition",
     "Make one with: greywright sheet camera; or name the file of its definition with --sheet"},
    {"Make the table again", "Make the table again with: greywright neutralise --condition NAME"},
    {"Make the table again to mend it", "Mend the table: greywright neutralise --condition NAME"},
    {"Measure the sheet and take the file in",
     "Measure the sheet and take the file in with: greywright read"},
    {"Name a glazing that ships or that the book holds", "See them all with: greywright glazing list"},
    {"Name a light or scene that ships or that the book holds",
     "See them with: greywright lights list, greywright scene list"},
    {"Name another, or have it replaced", "Name another, or use --force to replace it"},
    {"Name choices that a trial was printed with", "See them with: greywright trial list --condition NAME"},
    {"Name either the correction or the trial", "Leave out --through, or --to-trial"},
    {"Name one that ships or that the book holds", "See them all with: greywright lights list"},
    {"Name one that the condition has", "See them with: greywright correction list --condition NAME"},
    {"Name the file of its definition, or the book that holds it",
     "Name the file of its definition, or --book FILE"},
    {"Name their pictures, or take it without them",
     "Name their pictures with --page, or use --force to take it without them"},
    {"neighbouring patches are so alike that an instrument may not find their edges; shuffled, unlike ones "
     "stand beside each other",
     "neighbouring patches are so alike that an instrument may not find their edges; --shuffle puts unlike "
     "ones beside each other"},
    {"no printing condition has a paper called '{}'; what was learned is found by the condition's paper",
     "no printing condition has a paper called '{}'; --device finds what was learned by the condition's "
     "paper"},
    {"Print a ramp through the correction and read it with spectra, or look at it under D50",
     "Print a ramp through the correction and read it with spectra, or leave --light out"},
    {"Print a ramp, measure it, and read it in",
     "Print a ramp: greywright sheet ramp NAME --out FILE; measure it and read it in"},
    {"Print a sheet, measure it, and read it in",
     "Print a sheet, measure it, and read it with: greywright read FILE --condition NAME"},
    {"Print a sheet, measure it, and take the file in",
     "Print a sheet, measure it, and take the file in with: greywright read FILE --condition NAME"},
    {"Print near-neutral colours, measure them, and read them in as that sheet",
     "Print one: greywright sheet neutral NAME --out FILE; measure it and read it with --sheet NAME"},
    {"Read a sheet with spectra, or name no light", "Read a sheet with spectra, or leave --light out"},
    {"Read it as a trial of its own, unless it is the same sheet",
     "Read it as a trial of its own, or use --force if it is the same sheet"},
    {"Read it into that paper's own condition, unless it is the same paper",
     "Read it into that paper's own condition, or use --force if it is the same paper"},
    {"Say that it lies in the sheet's own place, or where it lies",
     "Add --card for the sheet's own place, or --card-at"},
    {"Say which paper it is", "Say it with --paper"},
    {"Scan with the same settings and on the same paper as then, photograph in the same light and with the "
     "card, or read without it",
     "Scan with the same settings and on the same paper as then, photograph in the same light and with the "
     "card, or leave --device out"},
    {"Take it out of the book", "Remove it with: greywright lights remove"},
    {"the file has its own device values; the tones that were given differ from them and were not used",
     "the file has its own device values; the tones given with --tones differ from them and were not used"},
    {"Withdraw that trial first, unless it is to be taken again",
     "Withdraw that trial first, or use --force to take it again"},
    {"{} of the sheet's {} pages are not among the pictures; name them too",
     "{} of the sheet's {} pages are not among the pictures; name them with --page"},
};

}  // namespace

void sayWhatToType() {
    sayBy([](const char* english) {
        const auto found = std::ranges::find(kWays, std::string_view(english), &Way::said);
        return std::string(found == std::end(kWays) ? std::string_view(english) : found->typed);
    });
}

}  // namespace greywright::cli
