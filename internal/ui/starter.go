package ui

// starter is what a new brief starts from: one stage with one item of the commonest forms. Its task is invented.
const starter = `brief: 1
key: my-first-brief
title: Re-pipe the rig and prove it
about: What the trainee finds, and what is to be put right.
cautions:
  - Pipes above 60 °C burn. Let them cool; the maker's instructions decide.
criteria:
  - unit: H2
    codes: ["1.1", "1.2"]
stages:
  - key: look
    title: Look and make safe
    items:
      - key: before
        title: The rig as you find it
        criteria: ["1.1"]
        photo:
          visible:
            - the whole rig
  - key: measure
    title: Measure
    hold:
      show: The joints are tight and the covers are on.
    items:
      - key: tf
        title: Flow temperature
        criteria: ["1.2"]
        reading:
          is: flow temperature
          unit: °C
          phases: [as-found, as-left]
          limit:
            at-most: 80 °C
            source: rig sheet, edition and date
      - key: tr
        title: Return temperature
        criteria: ["1.2"]
        reading:
          is: return temperature
          unit: °C
      - key: dt
        title: Temperature difference
        criteria: ["1.2"]
        figure:
          ask: temperature difference
          unit: K
          formula: tf − tr
          tolerance:
            absolute: 0.1 K
          working: true
`
