<?xml version="1.0" encoding="utf-8"?>
<!DOCTYPE TS>
<TS version="2.1" language="en_US" sourcelanguage="en">
<context>
    <name>greywright::desktop::ConditionData</name>
    <message numerus="yes">
        <source>Asking %n viewers</source>
        <translation>
            <numerusform>Asking %n viewer</numerusform>
            <numerusform>Asking %n viewers</numerusform>
        </translation>
    </message>
</context>
<context>
    <name>greywright::desktop::Jobs</name>
    <message numerus="yes">
        <source>Preparing %n picture(s)</source>
        <translation>
            <numerusform>Preparing %n picture</numerusform>
            <numerusform>Preparing %n pictures</numerusform>
        </translation>
    </message>
    <message numerus="yes">
        <source>%n more were not begun.</source>
        <translation>
            <numerusform>%n more was not begun.</numerusform>
            <numerusform>%n more were not begun.</numerusform>
        </translation>
    </message>
</context>
<context>
    <name>greywright::desktop::MapSection</name>
    <message numerus="yes">
        <source>%1 · %n trial(s) · %2</source>
        <translation>
            <numerusform>%1 · %n trial · %2</numerusform>
            <numerusform>%1 · %n trials · %2</numerusform>
        </translation>
    </message>
</context>
<context>
    <name>greywright::desktop::ReadDialog</name>
    <message numerus="yes">
        <source>%n tone(s)</source>
        <translation>
            <numerusform>%n tone</numerusform>
            <numerusform>%n tones</numerusform>
        </translation>
    </message>
    <message numerus="yes">
        <source>%n colour(s) beside them</source>
        <translation>
            <numerusform>%n colour beside them</numerusform>
            <numerusform>%n colours beside them</numerusform>
        </translation>
    </message>
    <message numerus="yes">
        <source>&amp;Leave this one out (%n more wait)</source>
        <translation>
            <numerusform>&amp;Leave this one out (%n more waits)</numerusform>
            <numerusform>&amp;Leave this one out (%n more wait)</numerusform>
        </translation>
    </message>
    <message numerus="yes">
        <source>%n further &amp;page(s)…</source>
        <translation>
            <numerusform>%n further &amp;page…</numerusform>
            <numerusform>%n further &amp;pages…</numerusform>
        </translation>
    </message>
</context>
<context>
    <name>greywright::desktop::SheetPreview</name>
    <message numerus="yes">
        <source>%n page(s)</source>
        <translation>
            <numerusform>%n page</numerusform>
            <numerusform>%n pages</numerusform>
        </translation>
    </message>
    <message numerus="yes">
        <source>%1 × %2 mm, %n page(s)</source>
        <translation>
            <numerusform>%1 × %2 mm, %n page</numerusform>
            <numerusform>%1 × %2 mm, %n pages</numerusform>
        </translation>
    </message>
</context>
<context>
    <name>greywright::desktop::TaskBar</name>
    <message numerus="yes">
        <source>%1 (and %n more)</source>
        <translation>
            <numerusform>%1 (and %n more)</numerusform>
            <numerusform>%1 (and %n more)</numerusform>
        </translation>
    </message>
</context>
</TS>
