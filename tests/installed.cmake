# Installs into a folder of its own and runs what is there. Usage: cmake -D build=FOLDER -P installed.cmake
set(place ${build}/installed)
file(REMOVE_RECURSE ${place})

function(expect_success)
  execute_process(COMMAND ${ARGN} RESULT_VARIABLE code OUTPUT_VARIABLE out ERROR_VARIABLE out)
  if(NOT code EQUAL 0)
    message(FATAL_ERROR "${ARGN} ended with ${code}: ${out}")
  endif()
endfunction()

expect_success(${CMAKE_COMMAND} --install ${build} --prefix ${place})
foreach(file bin/greywright bin/greywright-desktop share/applications/greywright.desktop
        share/icons/hicolor/scalable/apps/greywright.svg share/mime/packages/greywright-book.xml
        share/greywright/translations/greywright_en.qm share/doc/greywright/guide/README.md
        share/doc/greywright/guide/words.md share/doc/greywright/guide/pictures/start.png
        share/metainfo/local.greywright.greywright.metainfo.xml)
  if(NOT EXISTS ${place}/${file})
    message(FATAL_ERROR "${file} was not installed")
  endif()
endforeach()
# A picture needs the library that is loaded while the program runs.
expect_success(${place}/bin/greywright sheet ramp "installed" --out ${place}/ramp.tif)
if(NOT EXISTS ${place}/ramp.tif)
  message(FATAL_ERROR "no sheet was written")
endif()
expect_success(${place}/bin/greywright-desktop --version)
# What Debian's validators say of the files, where they are installed.
find_program(desktop_validate desktop-file-validate)
if(desktop_validate)
  expect_success(${desktop_validate} ${place}/share/applications/greywright.desktop)
endif()
find_program(appstream appstreamcli)
if(appstream)
  expect_success(${appstream} validate --no-net ${place}/share/metainfo/local.greywright.greywright.metainfo.xml)
endif()
file(REMOVE_RECURSE ${place})
