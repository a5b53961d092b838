"""The editor's server, over standard input and output.

`app` speaks the Language Server Protocol; `answers` knows labels and no protocol. Fast rules
run where the messages arrive; what needs the solver runs in a process of its own
(`prover`), which an edit may end at any time.
"""
