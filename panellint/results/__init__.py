"""The shape of every answer: the plain data that the commands print as JSON and that
`panellint.api` returns, one file a question.

Keys may be added, never renamed. Lines and columns count from 1 in Unicode code points, the end
exclusive. Parts of a food are percent as fed unless a key says otherwise; energy is kcal of
metabolisable energy per kg as fed. None stands for what is not known.
"""
