"""Files a table or a solid modeler opens: DXF, STEP, nested sheets, and their read-back.

May use everything below it; the only importer of ezdxf for cutting and of the CAD kernel.
"""
