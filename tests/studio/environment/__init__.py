"""The two commands: do they build, keep and end what they should, whatever happened before?"""
